using TeleHearing.Audiology.Acoustics;

namespace TeleHearing.Audiology.Tests.Acoustics;

/// <summary>The filters against the class 1 mask of IEC 61260-1:2014.</summary>
/// <remarks>Frequencies from half the sample rate up do not exist in a sampled signal; the sound input's own filter keeps them out.</remarks>
public sealed class ClassOneMaskTests
{
    private const int SampleRateHz = 48_000;
    private const double HighestHz = 23_990;

    // Everything the project offers, and with it the 100 Hz to 10 kHz a class 1 claim is made for.
    public static TheoryData<double> Bands => [.. ThirdOctaveBands.All];

    public static TheoryData<double> BandsClaimed => [.. ThirdOctaveBands.All.Where(band => band is >= 100 and <= 10_000)];

    public static TheoryData<double> Octaves => [.. OctaveBands.All];

    [Fact]
    public void TheMaskOfAThirdOctaveFollowsFromTheOctaves()
    {
        var ratios = new ClassOneMask(3).SpecifiedPoints().Select(point => point.Ratio).Where(ratio => ratio > 1).ToList();

        // IEC 61260-1:2014 (IEC 61260:1995 prints the same): breakpoints of third-octave filters 1.02667, 1.05575, 1.08746, 1.12202, 1.29437, 1.88173, 3.05365, 5.39195.
        Assert.Equal([1.02667, 1.05575, 1.08746, 1.12202, 1.12202, 1.29437, 1.88173, 3.05365, 5.39195], ratios.Select(ratio => Math.Round(ratio, 5)));
        Assert.Equal(16.6, new ClassOneMask(1).At(1.9952623149688795).MinimumDb, 1e-9);
    }

    [Theory]
    [MemberData(nameof(Bands))]
    public void EveryThirdOctaveFilterLiesInsideTheMask(double band) => Inside(new ClassOneMask(3), ThirdOctaveBands.ExactMidband(band), ThirdOctaveBands.Edges(band));

    [Theory]
    [MemberData(nameof(Octaves))]
    public void EveryOctaveFilterLiesInsideTheMask(double band)
    {
        // The upper half of the 16 kHz octave ends at 22.4 kHz, and still the mask holds.
        Inside(new ClassOneMask(1), OctaveBands.ExactMidband(band), OctaveBands.Edges(band));
    }

    [Theory]
    [MemberData(nameof(BandsClaimed))]
    public void TonesMeasuredThroughTheBankLieInsideTheMask(double band)
    {
        var midband = ThirdOctaveBands.ExactMidband(band);
        var reference = LevelOfSine(band, midband);
        foreach (var (ratio, minimum, maximum) in new ClassOneMask(3).SpecifiedPoints().Where(point => point.Ratio * midband < HighestHz))
        {
            var attenuation = reference - LevelOfSine(band, ratio * midband);
            Assert.True(attenuation >= minimum && attenuation <= maximum, $"{band} Hz at {ratio:0.00000} of midband: {attenuation:0.000} dB, allowed {minimum} to {maximum} dB");
        }
    }

    // The lowest and highest bands of each rate the bank works at: what the low-pass before a lower rate lets through folds into the band, and must stay outside the mask too.
    [Theory]
    [InlineData(100)]
    [InlineData(500)]
    [InlineData(630)]
    [InlineData(800)]
    [InlineData(2000)]
    [InlineData(2500)]
    [InlineData(3150)]
    public void NothingFoldsIntoABandFromAnywhere(double band)
    {
        var mask = new ClassOneMask(3);
        var midband = ThirdOctaveBands.ExactMidband(band);
        var reference = LevelOfSine(band, midband);
        for (var hertz = 37.0; hertz < HighestHz; hertz += 211)
        {
            var (minimum, maximum) = mask.At(hertz / midband);
            var attenuation = reference - LevelOfSine(band, hertz);
            Assert.True(attenuation >= minimum && attenuation <= maximum, $"{band} Hz at {hertz} Hz: {attenuation:0.000} dB, allowed {minimum:0.00} to {maximum:0.00} dB");
        }
    }

    [Theory]
    [MemberData(nameof(Bands))]
    public void TheNoiseBandwidthIsThatOfTheBand(double band)
    {
        // Effective bandwidth deviation of a class 1 filter: at most 0.4 dB either way (IEC 61260-1:2014, from memory). White noise per octave, so integrated over log frequency.
        var (lower, upper) = ThirdOctaveBands.Edges(band);
        var sections = ButterworthBandPass.Design(BandBank.PrototypeOrder, lower, upper, SampleRateHz);
        const int Steps = 40_000;
        var (from, to) = (Math.Log(lower / 16), Math.Log(Math.Min(upper * 16, HighestHz)));
        var sum = 0.0;
        for (var i = 0; i < Steps; i++)
        {
            sum += Math.Pow(10, FilterResponse.Db(sections, Math.Exp(from + ((i + 0.5) * (to - from) / Steps)), SampleRateHz) / 10);
        }

        Assert.Equal(0, 10 * Math.Log10(sum * (to - from) / Steps / Math.Log(upper / lower)), 0.12);
    }

    private static void Inside(ClassOneMask mask, double midband, (double LowerHz, double UpperHz) edges)
    {
        var sections = ButterworthBandPass.Design(BandBank.PrototypeOrder, edges.LowerHz, edges.UpperHz, SampleRateHz);
        var reference = FilterResponse.Db(sections, midband, SampleRateHz);
        Assert.Equal(0, reference, 0.01);
        foreach (var (ratio, minimum, maximum) in mask.SpecifiedPoints().Where(point => point.Ratio * midband < HighestHz))
        {
            Check(ratio, minimum, maximum);
        }

        // and between the points, a hundred steps an octave
        for (var step = -600; step <= 600; step++)
        {
            var ratio = Math.Pow(2, step / 100.0);
            if (ratio * midband < HighestHz && ratio * midband > 1)
            {
                var (minimum, maximum) = mask.At(ratio);
                Check(ratio, minimum, maximum);
            }
        }

        void Check(double ratio, double minimum, double maximum)
        {
            var attenuation = reference - FilterResponse.Db(sections, ratio * midband, SampleRateHz);
            Assert.True(attenuation >= minimum && attenuation <= maximum, $"{midband:0.0} Hz at {ratio:0.00000} of midband: {attenuation:0.000} dB, allowed {minimum:0.00} to {maximum:0.00} dB");
        }
    }

    private static double LevelOfSine(double band, double hertz)
    {
        var bank = new ThirdOctaveBank(SampleRateHz, [band]);
        const int Half = SampleRateHz * 6 / 10;
        var sine = new float[2 * Half];
        for (var i = 0; i < sine.Length; i++)
        {
            sine[i] = (float)(0.5 * Math.Sin(Math.Tau * hertz * i / SampleRateHz));
        }

        bank.Process(sine.AsSpan(0, Half));
        bank.ResetAverage();
        bank.Process(sine.AsSpan(Half));
        return bank.Levels(200)[0].LevelDbSpl;
    }
}
