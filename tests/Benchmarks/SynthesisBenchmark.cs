using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Benchmarks;

/// <summary>The making of a pure tone, beside a plain loop over <see cref="Math.Sin"/> in the same run, and how far its sine is from the true one.</summary>
/// <remarks>
/// The plain loop has no rise, fall or range check, and knows its phase by one multiplication: the least that a tone can cost. The tone is made as the kit makes it, in blocks of
/// 10 ms with its ramps. The best of several rounds counts on both sides, in turns, so that another program on the machine does not decide.
/// </remarks>
internal static class SynthesisBenchmark
{
    private const int SampleRateHz = 48_000;
    private const int BlockFrames = 480;
    private const int Rounds = 60;
    private const int SecondsARound = 10;
    private const int LongestSeconds = 60;

    public static Task Run(CancellationToken cancellationToken)
    {
        var mono = new float[SampleRateHz * SecondsARound];
        var tone = Stimulus.Make(new ToneSpec(1000, 0.5, ToneShape.Steady, 1000 * SecondsARound, SampleRateHz));
        var pulsed = Stimulus.Make(new ToneSpec(1000, 0.5, ToneShape.Pulsed, 1000 * SecondsARound, SampleRateHz));
        var warble = Stimulus.Make(new WarbleSpec(1000, 0.5, 5, 5, ToneShape.Steady, 1000 * SecondsARound, SampleRateHz));
        var noise = Stimulus.Make(new NarrowBandNoiseSpec(AudiometricFrequency.FromHertz(1000), 0.1, 1, ToneShape.Steady, 1000 * SecondsARound, SampleRateHz));

        Print($"CPU flags: {CpuFlags.Supported}");
        (string Name, Action Work)[] all =
        [
            ("plain loop over Math.Sin", () => Plain(mono, 1000, 0.5)),
            ("steady tone", () => InBlocks(tone, mono)),
            ("pulsed tone", () => InBlocks(pulsed, mono)),
            ("warble tone", () => InBlocks(warble, mono)),
            ("narrow-band noise", () => InBlocks(noise, mono)),
        ];
        var best = Best([.. all.Select(one => one.Work)], cancellationToken);
        foreach (var ((name, _), seconds) in all.Zip(best))
        {
            Print($"{name,-35} {Nanoseconds(seconds),8:0.00} ns a sample   {best[0] / seconds,6:0.0} times the plain loop   {100 * seconds / SecondsARound,6:0.000} % of one core");
        }

        Print($"largest error of the sine           {20 * Math.Log10(WorstError()),8:0.0} dB re full scale, all audiometric frequencies, first and last second of {LongestSeconds} s");
        return Task.CompletedTask;
    }

    private static void Plain(float[] mono, double hertz, double amplitude)
    {
        var radiansPerFrame = Math.Tau * hertz / SampleRateHz;
        for (var frame = 0; frame < mono.Length; frame++)
        {
            mono[frame] = (float)(amplitude * Math.Sin(radiansPerFrame * frame));
        }
    }

    private static void InBlocks(IStimulus sound, float[] mono)
    {
        for (var start = 0; start < mono.Length; start += BlockFrames)
        {
            sound.Render(start, mono.AsSpan(start, BlockFrames));
        }
    }

    /// <summary>Against the library's sine of a phase that is exact: whole hertz times whole frames, divided in decimal.</summary>
    private static double WorstError()
    {
        var worst = 0.0;
        var sines = new double[SampleRateHz];
        foreach (var frequency in AudiometricFrequency.Both)
        {
            foreach (var firstFrame in new long[] { 0, (LongestSeconds - 1) * SampleRateHz })
            {
                SineWave.Fill(sines, firstFrame, (double)frequency.Hertz / SampleRateHz, 1);
                for (var i = 0; i < sines.Length; i++)
                {
                    var cycles = (decimal)frequency.Hertz * (firstFrame + i) / SampleRateHz;
                    worst = Math.Max(worst, Math.Abs(sines[i] - Math.Sin(Math.Tau * (double)(cycles - decimal.Floor(cycles)))));
                }
            }
        }

        return worst;
    }

    /// <summary>The best time of each. They take turns, so that a busy machine slows all of them.</summary>
    private static double[] Best(IReadOnlyList<Action> works, CancellationToken cancellationToken)
    {
        var best = new double[works.Count];
        Array.Fill(best, double.PositiveInfinity);
        for (var round = 0; round < Rounds; round++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            for (var i = 0; i < works.Count; i++)
            {
                var start = TimeProvider.System.GetTimestamp();
                works[i]();
                best[i] = Math.Min(best[i], TimeProvider.System.GetElapsedTime(start).TotalSeconds);
            }
        }

        return best;
    }

    private static double Nanoseconds(double seconds) => seconds * 1e9 / (SampleRateHz * SecondsARound);

    private static void Print(FormattableString line) => Console.WriteLine(line.ToString(CultureInfo.InvariantCulture));
}
