using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>Makes the sound of a room with noise in chosen third-octave bands, without any code of the project.</summary>
/// <remarks>
/// The sound of a band wanders 3 % up and down around its middle at a constant level, like a fan, so that any stretch of it, however short, holds the
/// level asked for and nearly nothing leaks into the neighbours. A signal of RMS 1.0 stands for 120 dB SPL (the scale of the simulated microphone).
/// </remarks>
internal static class NoisyRoom
{
    private const int SampleRateHz = 48_000;
    private const int Seconds = 4;
    private const double SplAtRmsOneDb = 120;
    private const double Deviation = 0.03;
    private const int WanderingHz = 4;

    /// <summary>Writes the file.</summary>
    /// <param name="path">File.</param>
    /// <param name="bands">Mid-band frequency in whole Hz, so that the seconds join without a break, and level in dB SPL.</param>
    public static void Write(string path, IEnumerable<(int MidbandHz, double LevelDbSpl)> bands)
    {
        var samples = new float[SampleRateHz * Seconds];
        foreach (var (midbandHz, levelDbSpl) in bands)
        {
            var amplitude = Math.Sqrt(2) * Math.Pow(10, (levelDbSpl - SplAtRmsOneDb) / 20);
            var index = Deviation * midbandHz / WanderingHz;
            for (var frame = 0; frame < samples.Length; frame++)
            {
                var turns = (double)frame / SampleRateHz;
                samples[frame] += (float)(amplitude * Math.Sin((Math.Tau * midbandHz * turns) + (index * Math.Sin(Math.Tau * WanderingHz * turns))));
            }
        }

        WavFile.Write(path, samples, SampleRateHz, channels: 1);
    }
}
