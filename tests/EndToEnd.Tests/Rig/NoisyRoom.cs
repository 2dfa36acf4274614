using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>Makes the sound of a room with noise in chosen third-octave bands, without any code of the project.</summary>
/// <remarks>
/// Noise of a band: equal sinusoids of random phase, 1 Hz apart, in the inner half of the band, so that nearly nothing leaks into its neighbours and any whole second holds
/// exactly the energy asked for. A signal of RMS 1.0 stands for 120 dB SPL (the scale of the simulated microphone).
/// </remarks>
internal static class NoisyRoom
{
    private const int SampleRateHz = 48_000;
    private const int Seconds = 4;
    private const double SplAtRmsOneDb = 120;

    /// <summary>Writes the file.</summary>
    /// <param name="path">File.</param>
    /// <param name="bands">Exact mid-band frequency in Hz and level in dB SPL.</param>
    /// <param name="seed">Seed of the phases.</param>
    public static void Write(string path, IEnumerable<(double MidbandHz, double LevelDbSpl)> bands, int seed)
    {
        var random = new Random(seed);
        var sound = new double[SampleRateHz];
        foreach (var (midbandHz, levelDbSpl) in bands)
        {
            // Inner half of the band on a logarithmic scale: the whole one reaches from 10^-0.05 to 10^0.05 times the middle (IEC 61260-1).
            var from = (int)Math.Ceiling(midbandHz * Math.Pow(10, -0.025));
            var to = (int)Math.Floor(midbandHz * Math.Pow(10, 0.025));
            var rms = Math.Pow(10, (levelDbSpl - SplAtRmsOneDb) / 20);
            var amplitude = rms * Math.Sqrt(2.0 / (to - from + 1));
            for (var hertz = from; hertz <= to; hertz++)
            {
                var phase = random.NextDouble() * Math.Tau;
                for (var frame = 0; frame < sound.Length; frame++)
                {
                    sound[frame] += amplitude * Math.Sin(phase + (Math.Tau * hertz * frame / SampleRateHz));
                }
            }
        }

        var samples = new float[SampleRateHz * Seconds];
        for (var frame = 0; frame < samples.Length; frame++)
        {
            samples[frame] = (float)sound[frame % SampleRateHz];
        }

        WavFile.Write(path, samples, SampleRateHz, channels: 1);
    }
}
