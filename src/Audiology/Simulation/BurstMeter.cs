namespace TeleHearing.Audiology.Simulation;

/// <summary>A stretch of sound as measured.</summary>
/// <param name="MeanSquare">Mean square of the digital signal.</param>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="DurationMs">How long the burst had lasted when this was read, ms.</param>
/// <param name="IsNoise">It is no tone: its power is uneven.</param>
internal readonly record struct BurstReading(double MeanSquare, double FrequencyHz, double DurationMs, bool IsNoise);

/// <summary>Measures level and frequency of the sound on one earphone, in stretches of its plateau.</summary>
/// <remarks>
/// Level: root mean square in stretches of 150 ms, the first from 50 ms after the onset. Frequency: rising zero crossings, interpolated. A burst too short
/// for a stretch is measured whole, without its last 40 ms.
/// </remarks>
internal sealed class BurstMeter(int sampleRateHz, int hopFrames)
{
    private const int HopsOfRise = 5;
    private const int HopsOfStretch = 15;
    private const int HopsOfFall = 4;

    private readonly List<Hop> _hops = [];
    private readonly EvennessMeter _evenness = new();
    private bool _firstStretchRead;
    private long _frame;
    private float _previous;

    /// <summary>Takes in a hop in which there is sound. A reading comes at the end of each stretch.</summary>
    public BurstReading? Add(ReadOnlySpan<float> samples)
    {
        _hops.Add(Measure(samples));
        _evenness.Add(samples);
        if (_hops.Count < (_firstStretchRead ? HopsOfStretch : HopsOfRise + HopsOfStretch))
        {
            return null;
        }

        var reading = Read(_hops.TakeLast(HopsOfStretch), _evenness.IsNoise(_frame - (HopsOfStretch * hopFrames), _frame));
        _hops.Clear();
        _firstStretchRead = true;
        return reading;
    }

    /// <summary>Ends the burst. A reading comes when it was too short to give one before.</summary>
    public BurstReading? End()
    {
        // what is neither rise nor fall tells whether it was a tone
        var reading = _firstStretchRead || _hops.Count == 0
            ? null
            : Read(_hops.Take(Math.Max(1, _hops.Count - HopsOfFall)), _evenness.IsNoise(HopsOfRise * hopFrames, _frame - (HopsOfRise * hopFrames)));
        _hops.Clear();
        _evenness.Clear();
        _firstStretchRead = false;
        _frame = 0;
        _previous = 0;
        return reading;
    }

    private Hop Measure(ReadOnlySpan<float> samples)
    {
        var (energy, crossings, first, last) = (0.0, 0, 0.0, 0.0);
        var previous = _previous;
        for (var i = 0; i < samples.Length; i++)
        {
            var sample = samples[i];
            energy += (double)sample * sample;
            if (previous < 0 && sample >= 0)
            {
                last = _frame + i - 1 + ((double)previous / (previous - sample));
                first = crossings++ == 0 ? last : first;
            }

            previous = sample;
        }

        _previous = previous;
        _frame += samples.Length;
        return new Hop(energy / samples.Length, crossings, first, last);
    }

    private BurstReading? Read(IEnumerable<Hop> hops, bool isNoise)
    {
        var (energy, count, crossings, first, last) = (0.0, 0, 0, 0.0, 0.0);
        foreach (var hop in hops)
        {
            energy += hop.MeanSquare;
            count++;
            if (hop.Crossings > 0)
            {
                first = crossings == 0 ? hop.First : first;
                last = hop.Last;
                crossings += hop.Crossings;
            }
        }

        return crossings >= 2
            ? new BurstReading(energy / count, (crossings - 1) * sampleRateHz / (last - first), _hops.Count * hopFrames * 1000.0 / sampleRateHz, isNoise)
            : null;
    }

    private readonly record struct Hop(double MeanSquare, int Crossings, double First, double Last);
}
