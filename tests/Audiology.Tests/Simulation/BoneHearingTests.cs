using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Simulation;
using static TeleHearing.Audiology.Tests.Simulation.Hearing;

namespace TeleHearing.Audiology.Tests.Simulation;

/// <summary>
/// Bone conduction as samples: a vibrator on one channel, the masking earphone on the other. The expected levels are calculated from the two-route model: a tone is heard at the lower of
/// max(bone of the test ear, masker - attenuation) and max(bone of the other ear, masker - gap of the other ear) - occlusion effect (Studebaker 1964, the formulas from memory; no loss across the head).
/// </summary>
public sealed class BoneHearingTests
{
    // test ear air and bone, other ear air and bone, attenuation of the masker, occlusion effect, masker, level heard, hertz
    [Theory]
    [InlineData("F conductive test ear, insert without occlusion effect", 40, 0, 5, 5, 75, 0, null, 0, 1000)]
    [InlineData("F masked", 40, 0, 5, 5, 75, 0, 35.0, 0, 1000)]
    [InlineData("G sensorineural test ear, other covered", 45, 45, 5, 5, 50, 15, null, -10, 500)]
    [InlineData("G shadow rises with the masker", 45, 45, 5, 5, 50, 15, 30.0, 15, 500)]
    [InlineData("G shadow rises with the masker", 45, 45, 5, 5, 50, 15, 50.0, 35, 500)]
    [InlineData("G plateau", 45, 45, 5, 5, 50, 15, 65.0, 45, 500)]
    [InlineData("G plateau ends", 45, 45, 5, 5, 50, 15, 95.0, 45, 500)]
    [InlineData("G overmasked", 45, 45, 5, 5, 50, 15, 110.0, 60, 500)]
    public void TheLevelHeardFollowsTheTwoRoutes(string name, double testAir, double testBone, double otherAir, double otherBone, double attenuation, double occlusion, double? masker, double heard, int hertz)
    {
        var rig = new MaskedRig(
            [new(Ear.Left, hertz, testAir, testBone), new(Ear.Right, hertz, otherAir, otherBone)],
            attenuation,
            with: settings => settings with { OcclusionEffectDb = new Dictionary<int, double> { [hertz] = occlusion } });

        Assert.True(rig.PresentBone(ConductionRoute.BoneMastoid, Ear.Left, hertz, heard - 2, masker) == 0, $"{name}: heard 2 dB below {heard}");
        Assert.True(rig.PresentBone(ConductionRoute.BoneMastoid, Ear.Left, hertz, heard + 2, masker) == 1, $"{name}: not heard 2 dB above {heard}");
    }

    [Theory]
    [InlineData(ConductionRoute.BoneMastoid)]
    [InlineData(ConductionRoute.BoneForehead)]
    public void EveryFrequencyIsHeardFromTheThresholdOnAtBothPlaces(ConductionRoute route)
    {
        foreach (var frequency in BoneFrequencies.Tested)
        {
            var rig = new MaskedRig(Both(20), attenuationDb: 60, with: settings => settings with { OcclusionEffectDb = new Dictionary<int, double> { [1000] = 0 } });

            Assert.Equal(0, rig.PresentBone(route, Ear.Right, frequency.Hertz, 19, null));
            Assert.Equal(1, rig.PresentBone(route, Ear.Right, frequency.Hertz, 21, null));
        }
    }

    /// <summary>Measured loss across the head at 4 kHz about 15 dB (Studebaker 1967, from memory).</summary>
    [Fact]
    public void ALossAcrossTheHeadMayBeConfigured()
    {
        var rig = new MaskedRig(
            [new(Ear.Left, 4000, 80, 80), new(Ear.Right, 4000, 5, 5)],
            attenuationDb: 60,
            with: settings => settings with { BoneInterauralAttenuationDb = new Dictionary<int, double> { [250] = 0, [4000] = 15 } });

        Assert.Equal(0, rig.PresentBone(ConductionRoute.BoneMastoid, Ear.Left, 4000, 18, null));
        Assert.Equal(1, rig.PresentBone(ConductionRoute.BoneMastoid, Ear.Left, 4000, 22, null));
        Assert.Equal(Ear.Right, rig.Listener.LastHeardSide);
    }

    [Fact]
    public void WithEarphonesOnBothEarsAgainTonesAreHeardByAir()
    {
        var rig = new MaskedRig([new(Ear.Left, 1000, 40, 0), new(Ear.Right, 1000, 40, 0)], attenuationDb: 60);
        Assert.Equal(1, rig.PresentBone(ConductionRoute.BoneMastoid, Ear.Left, 1000, 5, null));

        rig.Listener.Wear(null);

        Assert.Equal(0, rig.Present(Ear.Left, 1000, 38, null));
        Assert.Equal(1, rig.Present(Ear.Left, 1000, 42, null));
    }

    [Fact]
    public void GearWithoutAVibratorCannotBePutOn()
    {
        var listener = new VirtualListener(new VirtualListenerSettings(Both(20), TransducerKind.SupraAural, Coupler.Iec60318Part1, EarphoneOutput.Flat(130), 1));

        Assert.Throws<ArgumentException>(() => listener.Wear(new VibratorWorn(ConductionRoute.BoneMastoid, Ear.Left)));
    }
}
