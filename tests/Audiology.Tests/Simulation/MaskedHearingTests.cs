using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Signals;
using TeleHearing.Audiology.Simulation;
using static TeleHearing.Audiology.Tests.Simulation.Hearing;

namespace TeleHearing.Audiology.Tests.Simulation;

/// <summary>
/// Maskers as samples: what the simulated person presses for with a noise in an ear. The expected levels are calculated from the two-route model without central masking (Studebaker 1964 and Hood 1960, the
/// formulas from memory): a tone at the test ear is heard at the lower of gap of the test ear + max(bone of the test ear, masker - attenuation) and attenuation + max(bone of the other ear, masker - gap of the other ear).
/// </summary>
public sealed class MaskedHearingTests
{
    // ears: air and bone of the test ear, air and bone of the other; attenuation; masker in the other ear; level at which the tone is heard
    [Theory]
    [InlineData("A shadow curve, sensorineural test ear", 70, 70, 10, 10, 50, null, 60)]
    [InlineData("A plateau begins", 70, 70, 10, 10, 50, 20.0, 70)]
    [InlineData("A plateau", 70, 70, 10, 10, 50, 80.0, 70)]
    [InlineData("A plateau ends", 70, 70, 10, 10, 50, 120.0, 70)]
    [InlineData("A overmasked", 70, 70, 10, 10, 50, 130.0, 80)]
    [InlineData("B dead test ear", 120, 120, 0, 0, 50, null, 50)]
    [InlineData("B rises with the masker", 120, 120, 0, 0, 50, 10.0, 60)]
    [InlineData("B rises with the masker", 120, 120, 0, 0, 50, 40.0, 90)]
    [InlineData("B the true threshold", 120, 120, 0, 0, 50, 80.0, 120)]
    [InlineData("C conductive test ear", 60, 5, 5, 5, 50, null, 55)]
    [InlineData("C plateau", 60, 5, 5, 5, 50, 15.0, 60)]
    [InlineData("C plateau ends", 60, 5, 5, 5, 50, 55.0, 60)]
    [InlineData("C overmasked", 60, 5, 5, 5, 50, 65.0, 70)]
    [InlineData("D conductive on both sides, dilemma", 60, 0, 60, 0, 50, null, 50)]
    [InlineData("D dilemma", 60, 0, 60, 0, 50, 70.0, 60)]
    [InlineData("D dilemma", 60, 0, 60, 0, 50, 90.0, 80)]
    [InlineData("E the same with inserts", 60, 0, 60, 0, 75, 50.0, 60)]
    [InlineData("E plateau ends", 60, 0, 60, 0, 75, 75.0, 60)]
    [InlineData("E overmasked", 60, 0, 60, 0, 75, 80.0, 65)]
    public void TheLevelHeardFollowsTheTwoRoutes(string name, double testAir, double testBone, double otherAir, double otherBone, double attenuation, double? masker, double heard)
    {
        var ear = masker is null or 80 ? Ear.Left : Ear.Right;
        var rig = new MaskedRig(
            [new(ear, 1000, testAir, testBone), new(ear == Ear.Left ? Ear.Right : Ear.Left, 1000, otherAir, otherBone)],
            attenuation);

        Assert.True(rig.Present(ear, 1000, heard - 2, masker) == 0, $"{name}: heard 2 dB below {heard}");
        Assert.True(rig.Present(ear, 1000, heard + 2, masker) == 1, $"{name}: not heard 2 dB above {heard}");
    }

    /// <summary>Definition of the effective masking level (IEC 60645-1; ISO 389-4, its numbers from memory): a noise of a level just masks a tone of the same hearing level in the same ear.</summary>
    [Theory]
    [InlineData(500)]
    [InlineData(1000)]
    [InlineData(4000)]
    public void ANoiseMasksAToneOfItsOwnLevelInTheSameEar(int hertz)
    {
        var rig = new MaskedRig(Both(5), attenuationDb: 80);

        // so narrow a band wavers by a decibel or two from one second to the next, and several looks are taken
        Assert.Equal(0, rig.Present(Ear.Right, hertz, 46, 50, sameEar: true));
        Assert.Equal(1, rig.Present(Ear.Right, hertz, 53, 50, sameEar: true));
    }

    [Fact]
    public void ANoiseAloneIsNotAnswered()
    {
        var presses = 0;
        foreach (var hertz in new[] { 125, 250, 500, 1000, 4000, 8000 })
        {
            var rig = new MaskedRig(Both(5), attenuationDb: 50, with: settings => settings with { SlopeSdDb = 2 });
            for (var i = 0; i < 4; i++)
            {
                presses += rig.Present(i % 2 == 0 ? Ear.Left : Ear.Right, hertz, null, 15 + (15 * i));
            }
        }

        Assert.Equal(0, presses);
    }

    [Theory]
    [InlineData(NoiseColour.White)]
    [InlineData(NoiseColour.Pink)]
    [InlineData(NoiseColour.Speech)]
    public void ABroadNoiseIsNotTakenForATone(NoiseColour colour)
    {
        var meter = new BurstMeter(48_000, 480);
        var noise = Stimulus.Make(new BroadbandNoiseSpec(colour, 0.1, 5, ToneShape.Steady, 1000, 48_000));
        BurstReading? first = null;
        var hop = new float[480];
        for (var i = 0; i < 60 && first is null; i++)
        {
            noise.Render(i * 480, hop);
            first = meter.Add(hop);
        }

        Assert.True(Assert.NotNull(first).IsNoise);
    }

    [Theory]
    [InlineData(125)]
    [InlineData(250)]
    [InlineData(1000)]
    [InlineData(8000)]
    public void ANarrowBandIsNotTakenForATone(int hertz)
    {
        var noise = Stimulus.Make(new NarrowBandNoiseSpec(AudiometricFrequency.FromHertz(hertz), 0.1, 5, ToneShape.Steady, 600_000, 48_000));
        var hop = new float[480];
        var tones = 0;
        for (var place = 1; place <= 400; place++)
        {
            var meter = new BurstMeter(48_000, 480);
            BurstReading? first = null;
            for (var i = 0; i < 20; i++)
            {
                noise.Render((place * 56_789) + (i * 480), hop);
                first ??= meter.Add(hop);
            }

            tones += Assert.NotNull(first).IsNoise ? 0 : 1;
        }

        Assert.Equal(0, tones);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void AToneOfAnyFrequencyAndAWarbleToneAreTakenForTones(bool warble)
    {
        foreach (var hertz in AudiometricFrequency.Both.Select(frequency => frequency.Hertz).Where(hertz => hertz <= 12_500))
        {
            var meter = new BurstMeter(48_000, 480);
            var tone = warble
                ? Stimulus.Make(new WarbleSpec(hertz, 0.1, 10, 5, ToneShape.Steady, 400, 48_000))
                : Stimulus.Make(new ToneSpec(hertz, 0.1, ToneShape.Steady, 400, 48_000));
            BurstReading? first = null;
            var hop = new float[480];
            for (var i = 0; i < 40 && first is null; i++)
            {
                tone.Render(i * 480, hop);
                first = meter.Add(hop);
            }

            Assert.False(Assert.NotNull(first).IsNoise, $"{hertz} Hz");
        }
    }

    [Fact]
    public void AToneInTheOtherEarIsAnsweredOnceAndInTimeWhileTheNoiseGoesOn()
    {
        var rig = new MaskedRig(Both(5), attenuationDb: 80);

        Assert.Equal(1, rig.Present(Ear.Left, 1000, 20, 40));
        Assert.Equal(Ear.Left, rig.Listener.LastHeardSide);
        Assert.Equal(0, rig.Present(Ear.Left, 1000, null, 40));
        Assert.Equal(1, rig.Present(Ear.Right, 1000, 20, 40));
        Assert.Equal(Ear.Right, rig.Listener.LastHeardSide);
    }

    [Fact]
    public void ANoiseIsGoneForTheEarWhenItEnds()
    {
        var rig = new MaskedRig(Both(5), attenuationDb: 50);
        rig.Present(Ear.Left, 1000, null, 90);

        Assert.Equal(0, rig.Present(Ear.Right, 1000, 3, null));
        Assert.Equal(1, rig.Present(Ear.Right, 1000, 7, null));
    }

    /// <summary>The measured level of the noise at the ear, at every frequency: the numbers written out for the simulated person and those of the kit's table say the same.</summary>
    [Fact]
    public void TheNoiseIsMeasuredAtTheLevelItIsPlayedAt()
    {
        foreach (var frequency in AudiometricFrequency.All)
        {
            Assert.True(MaskingCorrections.TryGet(frequency, out var correction));
            var ears = new TwoEars(new VirtualListenerSettings(Both(5), TransducerKind.SupraAural, Coupler.Iec60318Part1, EarphoneOutput.Flat(140), 1));
            var maskers = new Maskers(ears, 48_000);
            var splDb = 60 + ReferenceThresholds.Get(TransducerKind.SupraAural, Coupler.Iec60318Part1, frequency) + correction;
            var noise = Stimulus.Make(new NarrowBandNoiseSpec(frequency, Math.Pow(10, (splDb - 140) / 20) / Math.Sqrt(2), 3, ToneShape.Steady, 20_000, 48_000));
            maskers.Set(Ear.Left, noise: true);
            var readings = new List<double>();
            var block = new float[8192];
            for (var i = 0; i < 100; i++)
            {
                noise.Render((i * 8192) + 4800, block);
                maskers.SpectrumOf(Ear.Left).Add(block);
                readings.Add(maskers.DbEm(Ear.Left, frequency.Hertz));
            }

            Assert.Equal(60, readings.Skip(6).Average(), 1.0);
        }
    }
}
