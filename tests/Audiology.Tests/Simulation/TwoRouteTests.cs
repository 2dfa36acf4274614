using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Noise;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Simulation;

/// <summary>
/// The two-route model of hearing through the test ear and across the head, without masking noise, and the power sum of room noise. Calculated from the formulas:
/// the lower of the threshold by air of the test ear and interaural attenuation + threshold by bone of the other.
/// </summary>
public sealed class TwoRouteTests
{
    [Theory]
    [InlineData("both routes sensorineural", 70, 70, 10, 10, 50, 60)]
    [InlineData("dead test ear", 120, 120, 0, 0, 50, 50)]
    [InlineData("conductive test ear", 60, 5, 5, 5, 50, 55)]
    [InlineData("conductive on both sides", 60, 0, 60, 0, 50, 50)]
    [InlineData("conductive on both sides, inserts", 60, 0, 60, 0, 75, 60)]
    public void ATonesApparentThresholdIsTheLowerOfTwoRoutes(string name, double testAir, double testBone, double otherAir, double otherBone, double attenuation, double apparent)
    {
        foreach (var testEar in new[] { Ear.Left, Ear.Right })
        {
            var otherEar = testEar == Ear.Left ? Ear.Right : Ear.Left;
            var ears = new TwoEars(Settings(
                [new(testEar, 1000, testAir, testBone), new(otherEar, 1000, otherAir, otherBone)],
                attenuation));

            var (sensation, by) = ears.Hear(testEar, 1000, apparent, SilentRoom());

            Assert.Equal(0, sensation, 1e-9);
            Assert.True(by == (apparent == testAir ? testEar : otherEar), name);
        }
    }

    // Power sum with noise at the limit + E, whose level is E - 2.33 dB HL (calculated; an estimate, not a rule of the standard).
    [Theory]
    [InlineData(0, 0, 2.00)]
    [InlineData(0, 5, 4.55)]
    [InlineData(0, 8, 6.71)]
    [InlineData(0, 10, 8.36)]
    [InlineData(0, 20, 17.74)]
    [InlineData(20, 20, 22.00)]
    public void RoomNoiseRaisesAThresholdByPower(double threshold, double excessDb, double raised)
    {
        foreach (var kind in new[] { TransducerKind.SupraAural, TransducerKind.Insert, TransducerKind.Circumaural })
        {
            var limit = AmbientNoiseLimits.For(kind, 500)[2000];
            var room = new RoomAtTheEar(kind, 48_000, 120);
            var sound = VirtualRoom.Shaped([new BandLevel(2000, limit + excessDb)], 48_000, seed: 5);
            var ears = new TwoEars(Settings([new(Ear.Left, 2000, threshold, null), new(Ear.Right, 2000, threshold, null)], 80));
            var readings = new List<double>();
            var block = new float[8192];
            for (var i = 0; i < 60; i++)
            {
                sound.Fill(block);
                room.Add(block);
                readings.Add(-ears.Hear(Ear.Left, 2000, 0, room).SensationDb);
            }

            Assert.Equal(raised, readings.Skip(3).Average(), 0.2);
        }
    }

    [Fact]
    public void NoiseReachesTheOtherCochleaThroughThatEarsOwnMiddleEar()
    {
        // Noise worth about 40 dB HL, and a conductive loss of 50 dB in the other ear: its cochlea gets the noise at -10 dB HL, which hardly masks a bone threshold of 5.
        var room = new RoomAtTheEar(TransducerKind.SupraAural, 48_000, 120);
        var block = new float[8192 * 3];
        VirtualRoom.Shaped([new BandLevel(1000, 23 + 42.33)], 48_000, seed: 5).Fill(block);
        room.Add(block);
        double Across(double otherAir) => -new TwoEars(Settings([new(Ear.Left, 1000, 120, 120), new(Ear.Right, 1000, otherAir, 5)], 50))
            .Hear(Ear.Left, 1000, 0, room).SensationDb;

        Assert.Equal(55 + 0.14, Across(otherAir: 55), 0.3);
        Assert.Equal(50 + 40, Across(otherAir: 5), 2.0);
    }

    [Fact]
    public void LowNoiseMasksLowTonesAndNoOthers()
    {
        var room = new RoomAtTheEar(TransducerKind.SupraAural, 48_000, 120);
        var sound = VirtualRoom.Shaped([new BandLevel(125, 39 + 20)], 48_000, seed: 5);
        var levels = new Dictionary<int, List<double>> { [250] = [], [500] = [], [1000] = [] };
        var block = new float[8192];
        for (var i = 0; i < 64; i++)
        {
            sound.Fill(block);
            room.Add(block);
            foreach (var (hertz, readings) in levels)
            {
                readings.Add(room.LevelDbHl(hertz));
            }
        }

        // ISO 8253-1:2010, Table 2: 39 dB in the 125 Hz band for a lowest tone of 250 Hz, 51 dB for one of 500 Hz. So narrow a band wavers from one half second
        // to the next, and the window blurs its edges a little.
        double MeanByPower(int hertz) => 10 * Math.Log10(levels[hertz].Average(level => Math.Pow(10, level / 10)));
        Assert.Equal(20 - 2.33, MeanByPower(250), 0.7);
        Assert.Equal(8 - 2.33, MeanByPower(500), 0.7);
        Assert.True(levels[1000].Max() < -20);
    }

    private static VirtualListenerSettings Settings(IReadOnlyList<ListenerThreshold> rows, double attenuation) =>
        new(rows, TransducerKind.SupraAural, Coupler.Iec60318Part1, EarphoneOutput.Flat(140), 1)
        {
            InterauralAttenuationDb = new Dictionary<int, double> { [1000] = attenuation },
        };

    private static RoomAtTheEar SilentRoom() => new(TransducerKind.SupraAural, 48_000, 120);
}
