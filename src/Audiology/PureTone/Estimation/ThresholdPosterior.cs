using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>What is believed of one threshold and of the listener: a weight for every threshold, spread, lapse and false-alarm rate of the grid.</summary>
/// <remarks>
/// <para>Weights are probabilities, made to add up to 1 after every answer, so that sixty answers cannot run out of the range of a double.</para>
/// <para>For the choice of the next tone the lapse and false-alarm rates are summed out once for every answer: with A = sum of w g and B = sum of w (1 - g - l), the chance
/// of "yes" at a threshold is the sum over the spreads of A + B Phi, exactly. Without it the choice would cost twenty-four times as much.</para>
/// <para>Vectors of 512 bits: a processor with narrower ones takes them in halves or quarters. Nothing is allocated after construction. Not safe for several threads at once.</para>
/// </remarks>
internal sealed class ThresholdPosterior
{
    // Keeps 0 log 0 at 0.
    private const double Tiny = 1e-300;

    private readonly EstimateGrid _grid;
    private readonly double[] _weights;
    private readonly double[] _guessed;
    private readonly double[] _sensed;
    private readonly double[] _marginal;
    private readonly double[] _chances;
    private double _marginalTerms;
    private int _first;
    private int _end;

    public ThresholdPosterior(EstimateGrid grid)
    {
        _grid = grid;
        _weights = new double[grid.Listeners * grid.Stride];
        _guessed = new double[grid.SpreadsDb.Length * grid.Stride];
        _sensed = new double[grid.SpreadsDb.Length * grid.Stride];
        _marginal = new double[grid.Stride];
        _chances = new double[grid.Stride];
    }

    /// <summary>The grid.</summary>
    public EstimateGrid Grid => _grid;

    /// <summary>Probability of every threshold of the grid.</summary>
    public ReadOnlySpan<double> Marginal => _marginal.AsSpan(0, _grid.Thresholds);

    /// <summary>Starts anew.</summary>
    /// <param name="thresholds">Weight of every threshold, in any scale, some above 0.</param>
    /// <param name="listeners">Weight of every combination of spread, lapse and false-alarm rate, in any scale.</param>
    public void Begin(ReadOnlySpan<double> thresholds, ReadOnlySpan<double> listeners)
    {
        for (var listener = 0; listener < _grid.Listeners; listener++)
        {
            var row = Row(listener);
            row.Clear();
            for (var i = 0; i < _grid.Thresholds; i++)
            {
                row[i] = thresholds[i] * listeners[listener];
            }
        }

        Settle(_weights.Sum());
    }

    /// <summary>Takes in the answer to a tone.</summary>
    /// <param name="levelDbHl">Level, whole dB.</param>
    /// <param name="heard">Whether there was a response.</param>
    public void AddTone(int levelDbHl, bool heard)
    {
        var total = Vector512<double>.Zero;
        var listener = 0;
        for (var spread = 0; spread < _grid.SpreadsDb.Length; spread++)
        {
            var phi = Read(_grid.Heard(spread, levelDbHl));
            foreach (var lapse in _grid.LapseRates)
            {
                foreach (var guess in _grid.FalseAlarmRates)
                {
                    var row = Vectors(Row(listener++));
                    var (start, slope) = heard ? (guess, 1 - guess - lapse) : (1 - guess, guess + lapse - 1);
                    for (var i = 0; i < row.Length; i++)
                    {
                        var weight = row[i] * (Vector512.Create(start) + (phi[i] * slope));
                        row[i] = weight;
                        total += weight;
                    }
                }
            }
        }

        Settle(Vector512.Sum(total));
    }

    /// <summary>Takes in the answer to a silent trial, which tells of the false-alarm rate alone.</summary>
    public void AddSilence(bool answered)
    {
        var total = Vector512<double>.Zero;
        for (var listener = 0; listener < _grid.Listeners; listener++)
        {
            var guess = _grid.FalseAlarmRates[listener % _grid.FalseAlarmRates.Length];
            var likelihood = answered ? guess : 1 - guess;
            foreach (ref var weights in Vectors(Row(listener)))
            {
                weights *= likelihood;
                total += weights;
            }
        }

        Settle(Vector512.Sum(total));
    }

    /// <summary>What the answer to a tone is expected to tell of the threshold: the mutual information, in nats.</summary>
    /// <param name="levelDbHl">Level, whole dB.</param>
    public double Information(int levelDbHl)
    {
        var length = _end - _first;
        var marginal = Read(_marginal).Slice(_first, length);
        var chances = Vectors(_chances).Slice(0, length);
        chances.Clear();
        for (var spread = 0; spread < _grid.SpreadsDb.Length; spread++)
        {
            var guessed = Read(_guessed).Slice((spread * Rows) + _first, length);
            var sensed = Read(_sensed).Slice((spread * Rows) + _first, length);
            var phi = Read(_grid.Heard(spread, levelDbHl)).Slice(_first, length);
            for (var i = 0; i < chances.Length; i++)
            {
                chances[i] += Vector512.FusedMultiplyAdd(sensed[i], phi[i], guessed[i]);
            }
        }

        var yes = Vector512<double>.Zero;
        var known = Vector512<double>.Zero;
        var tiny = Vector512.Create(Tiny);
        for (var i = 0; i < chances.Length; i++)
        {
            var heard = chances[i];
            var missed = Vector512.Max(marginal[i] - heard, Vector512<double>.Zero);
            yes += heard;
            known += (heard * Vector512.Log(heard + tiny)) + (missed * Vector512.Log(missed + tiny));
        }

        var p = Math.Clamp(Vector512.Sum(yes), 0, 1);
        return Vector512.Sum(known) - _marginalTerms - Term(p) - Term(1 - p);
    }

    /// <summary>Mean and standard deviation of the threshold when everything outside two bounds counts as on the bound, dB.</summary>
    public (double MeanDb, double SdDb) Moments(double lowestDb, double highestDb)
    {
        var (sum, squares) = (0.0, 0.0);
        for (var i = 0; i < _grid.Thresholds; i++)
        {
            var threshold = Math.Clamp(_grid.ThresholdDb(i), lowestDb, highestDb);
            sum += _marginal[i] * threshold;
            squares += _marginal[i] * threshold * threshold;
        }

        return (sum, Math.Sqrt(Math.Max(0, squares - (sum * sum))));
    }

    /// <summary>The threshold below which a share of the probability lies, dB HL. Inside a step of the grid the probability is taken as even.</summary>
    public double Quantile(double share)
    {
        var below = 0.0;
        for (var i = 0; i < _grid.Thresholds; i++)
        {
            if (below + _marginal[i] >= share && _marginal[i] > 0)
            {
                return _grid.ThresholdDb(i) + (EstimateGrid.ThresholdStepDb * (((share - below) / _marginal[i]) - 0.5));
            }

            below += _marginal[i];
        }

        return _grid.ThresholdDb(_grid.Thresholds - 1);
    }

    /// <summary>Probability that the threshold lies above a level.</summary>
    public double ShareAbove(double levelDbHl)
    {
        var above = 0.0;
        for (var i = _grid.Thresholds - 1; i >= 0 && _grid.ThresholdDb(i) > levelDbHl; i--)
        {
            above += _marginal[i];
        }

        return above;
    }

    /// <summary>Writes the probability of every combination of spread, lapse and false-alarm rate.</summary>
    public void CopyListeners(Span<double> destination)
    {
        for (var listener = 0; listener < _grid.Listeners; listener++)
        {
            var sum = Vector512<double>.Zero;
            foreach (var weights in Vectors(Row(listener)))
            {
                sum += weights;
            }

            destination[listener] = Vector512.Sum(sum);
        }
    }

    private int Rows => _grid.Stride / Vector512<double>.Count;

    private static double Term(double p) => p * Math.Log(p + Tiny);

    private void Settle(double total)
    {
        var scale = Vector512.Create(1 / total);
        Array.Clear(_guessed);
        Array.Clear(_sensed);
        Array.Clear(_marginal);
        var marginal = Vectors(_marginal);
        var listener = 0;
        for (var spread = 0; spread < _grid.SpreadsDb.Length; spread++)
        {
            var guessed = Vectors(_guessed).Slice(spread * marginal.Length, marginal.Length);
            var sensed = Vectors(_sensed).Slice(spread * marginal.Length, marginal.Length);
            foreach (var lapse in _grid.LapseRates)
            {
                foreach (var guess in _grid.FalseAlarmRates)
                {
                    var row = Vectors(Row(listener++));
                    for (var i = 0; i < row.Length; i++)
                    {
                        var weight = row[i] * scale;
                        row[i] = weight;
                        marginal[i] += weight;
                        guessed[i] += weight * guess;
                        sensed[i] += weight * (1 - guess - lapse);
                    }
                }
            }
        }

        // Thresholds that together weigh next to nothing are left out of the choice of the next tone.
        const double negligible = 1e-12;
        (_first, _end) = (0, marginal.Length);
        while (_first < _end && Vector512.Sum(marginal[_first]) < negligible)
        {
            _first++;
        }

        while (_end > _first && Vector512.Sum(marginal[_end - 1]) < negligible)
        {
            _end--;
        }

        var terms = Vector512<double>.Zero;
        for (var i = _first; i < _end; i++)
        {
            terms += marginal[i] * Vector512.Log(marginal[i] + Vector512.Create(Tiny));
        }

        _marginalTerms = Vector512.Sum(terms);
    }

    private Span<double> Row(int listener) => _weights.AsSpan(listener * _grid.Stride, _grid.Stride);

    private static Span<Vector512<double>> Vectors(Span<double> numbers) => MemoryMarshal.Cast<double, Vector512<double>>(numbers);

    private static ReadOnlySpan<Vector512<double>> Read(ReadOnlySpan<double> numbers) => MemoryMarshal.Cast<double, Vector512<double>>(numbers);
}
