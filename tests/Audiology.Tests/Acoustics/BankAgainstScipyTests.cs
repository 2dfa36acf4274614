using TeleHearing.Audiology.Acoustics;
using TeleHearing.Testing;

namespace TeleHearing.Audiology.Tests.Acoustics;

/// <summary>The bank against scipy's filters: on the same sections, and on sections scipy designed itself.</summary>
public sealed class BankAgainstScipyTests
{
    private const int SampleRateHz = 48_000;
    private const double AllowedDb = 0.01;

    [Theory]
    [InlineData("white")]
    [InlineData("pink")]
    [InlineData("swept")]
    public async Task EveryBandReadsWhatScipyReads(string kind)
    {
        float[] samples = kind switch
        {
            "white" => White(11),
            "pink" => Pink(12),
            _ => Swept(),
        };
        var bank = new ThirdOctaveBank(SampleRateHz);
        bank.Process(samples);
        using var scipy = new ScipyCheck();
        scipy.WriteSamples("samples.f32", samples);
        var bands = ThirdOctaveBands.All.Select(band =>
        {
            var (lower, upper) = ThirdOctaveBands.Edges(band);
            var sections = ButterworthBandPass.Design(BandBank.PrototypeOrder, lower, upper, SampleRateHz);
            return new { lower, upper, sections = sections.Select(section => new[] { section.Gain, 0, -section.Gain, 1, section.A1, section.A2 }) };
        });

        var measured = await scipy.RunAsync<Measured>("Acoustics/bank.py", new { sampleRate = SampleRateHz, order = BandBank.PrototypeOrder, bands }, TestContext.Current.CancellationToken);

        var levels = bank.Levels(0);
        Assert.Equal(levels.Count, measured.SameSections.Count);
        for (var i = 0; i < levels.Count; i++)
        {
            Assert.Equal(10 * Math.Log10(measured.SameSections[i]), levels[i].LevelDbSpl, AllowedDb);
            Assert.Equal(10 * Math.Log10(measured.OwnDesign[i]), levels[i].LevelDbSpl, AllowedDb);
        }
    }

    private static float[] White(int seed)
    {
        var random = new System.Random(seed);
        return [.. Enumerable.Range(0, 5 * SampleRateHz).Select(_ => (float)(random.NextDouble() - 0.5))];
    }

    // White noise through a chain of first-order shelves, one a decade and a half apart in steps, falls by about 3 dB an octave; how exactly does not matter here.
    private static float[] Pink(int seed)
    {
        var samples = White(seed);
        double slow = 0, middle = 0, quick = 0;
        for (var i = 0; i < samples.Length; i++)
        {
            slow += 0.002 * (samples[i] - slow);
            middle += 0.02 * (samples[i] - middle);
            quick += 0.2 * (samples[i] - quick);
            samples[i] = (float)(slow * 4 + middle + (quick * 0.5));
        }

        return samples;
    }

    private static float[] Swept()
    {
        const double From = 15;
        const double To = 20_000;
        const double Seconds = 5;
        var rate = Math.Log(To / From) / Seconds;
        return [.. Enumerable.Range(0, (int)(Seconds * SampleRateHz)).Select(i => (float)(0.7 * Math.Sin(Math.Tau * From / rate * (Math.Exp(rate * i / SampleRateHz) - 1))))];
    }

    private sealed record Measured(IReadOnlyList<double> SameSections, IReadOnlyList<double> OwnDesign);
}
