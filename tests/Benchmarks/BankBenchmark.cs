using System.Globalization;
using System.Runtime.Intrinsics;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Testing;

namespace TeleHearing.Benchmarks;

/// <summary>The third-octave bank on one core, beside scipy's sosfilt on the same sections and the same samples in the same run.</summary>
/// <remarks>
/// The bank's time holds everything it does: looking for faulty samples, filtering and adding up the energy. scipy's holds the filtering alone, of all bands at the full
/// rate. The bank filters low bands at a lower rate; that it reads the same is checked, over ten seconds, before its time counts. The best of many short rounds counts on
/// both sides, and scipy takes its turn before and after, so that another program on the machine does not decide.
/// </remarks>
internal static class BankBenchmark
{
    private const int SampleRateHz = 48_000;
    private const int Seconds = 10;
    private const int TimedFrames = SampleRateHz;
    private const int ScipyRounds = 12;
    private const int Rounds = 2000;
    private const double AllowedDb = 0.01;
    private const int LiveBlockFrames = 480;

    public static async Task Run(CancellationToken cancellationToken)
    {
        var samples = Noise();
        BandPassSection[][] bands = [.. ThirdOctaveBands.All.Select(band =>
        {
            var (lower, upper) = ThirdOctaveBands.Edges(band);
            return ButterworthBandPass.Design(BandBank.PrototypeOrder, lower, upper, SampleRateHz);
        })];
        using var scipy = new ScipyCheck();
        scipy.WriteSamples("samples.f32", samples);
        var input = new { rounds = ScipyRounds, timed = TimedFrames, bands = bands.Select(sections => sections.Select(section => new[] { section.Gain, 0, -section.Gain, 1, section.A1, section.A2 })) };
        var baseline = await scipy.RunAsync<Baseline>("bank_sosfilt.py", input, cancellationToken);

        var timed = samples.AsMemory(0, TimedFrames);
        var results = Widths().Select(width =>
        {
            var bank = new BankOfWidth(width);
            bank.Process(samples);
            Check(bank, baseline);
            return (width, Seconds: Best(() => bank.Process(timed.Span)));
        }).ToList();

        // As it is used: blocks of 10 ms as they come from the microphone, with the weighted level beside.
        var live = new ThirdOctaveBank(SampleRateHz);
        var meter = new SoundLevelMeter(FrequencyWeighting.A, SampleRateHz, 120);
        var liveSeconds = Best(() =>
        {
            for (var start = 0; start < TimedFrames; start += LiveBlockFrames)
            {
                live.Process(timed.Span.Slice(start, LiveBlockFrames));
                meter.Add(timed.Span.Slice(start, LiveBlockFrames));
            }
        });
        var again = await scipy.RunAsync<Baseline>("bank_sosfilt.py", input, cancellationToken);
        var scipySeconds = Math.Min(baseline.Seconds, again.Seconds);

        Print($"third-octave bank, {bands.Length} bands of {BandBank.PrototypeOrder} sections, white noise at {SampleRateHz} Hz, one core");
        Print($"CPU flags: {CpuFlags.Supported}");
        Print($"scipy sosfilt, all at the full rate {scipySeconds * 1e9 / TimedFrames,8:0.00} ns a sample");
        foreach (var (width, seconds) in results)
        {
            Print($"bank, vectors of {width,-8}           {seconds * 1e9 / TimedFrames,8:0.00} ns a sample   {scipySeconds / seconds,6:0.0} times scipy");
        }

        Print($"live, in blocks of 10 ms, with A    {100 * liveSeconds * SampleRateHz / TimedFrames,8:0.000} % of one core");
    }

    private static void Check(BankOfWidth bank, Baseline baseline)
    {
        for (var band = 0; band < baseline.MeanSquares.Count; band++)
        {
            if (Math.Abs(10 * Math.Log10(bank.MeanSquare(band) / baseline.MeanSquares[band])) > AllowedDb)
            {
                throw new InvalidOperationException($"Band {band} differs from scipy's; the times compare nothing.");
            }
        }
    }

    private static double Best(Action work)
    {
        var best = double.PositiveInfinity;
        for (var round = 0; round < Rounds; round++)
        {
            var start = TimeProvider.System.GetTimestamp();
            work();
            best = Math.Min(best, TimeProvider.System.GetElapsedTime(start).TotalSeconds);
        }

        return best;
    }

    private static IEnumerable<LaneWidth> Widths()
    {
        if (Vector512.IsHardwareAccelerated)
        {
            yield return LaneWidth.Bits512;
        }

        if (Vector256.IsHardwareAccelerated)
        {
            yield return LaneWidth.Bits256;
        }

        yield return LaneWidth.Bits128;
    }

    private static float[] Noise()
    {
        var random = new Random(1);
        return [.. Enumerable.Range(0, Seconds * SampleRateHz).Select(_ => (float)(random.NextDouble() - 0.5))];
    }

    private static void Print(FormattableString line) => Console.WriteLine(line.ToString(CultureInfo.InvariantCulture));

    private sealed record Baseline(double Seconds, IReadOnlyList<double> MeanSquares);

    private sealed class BankOfWidth(LaneWidth width) : BandBank(SampleRateHz, ThirdOctaveBands.All, ThirdOctaveBands.Edges, width)
    {
    }
}
