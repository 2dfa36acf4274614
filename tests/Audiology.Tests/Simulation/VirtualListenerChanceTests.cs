using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Simulation;
using static TeleHearing.Audiology.Tests.Simulation.Hearing;

namespace TeleHearing.Audiology.Tests.Simulation;

/// <summary>Chance events of the simulated person: false alarms, lapses, reaction times.</summary>
public sealed class VirtualListenerChanceTests
{
    private static readonly AudiometricFrequency _oneKilohertz = AudiometricFrequency.FromHertz(1000);

    [Fact]
    public void APressBelongsToTheBlockInWhichItBegins()
    {
        var listener = new VirtualListener(new(Both(10), TransducerKind.Insert, Coupler.Iec60318Part4, EarphoneOutput.Flat(140), 1) { FalseAlarmsPerMinute = 60 });
        var count = 0;
        for (long frame = 0; frame < 60 * 48_000; frame += 480)
        {
            foreach (var press in listener.Hear(new float[960], new float[480]))
            {
                Assert.InRange(press.DownFrame, frame, frame + 479);
                Assert.True(press.UpFrame > press.DownFrame);
                count++;
            }
        }

        Assert.InRange(count, 20, 80);
    }

    [Theory]
    [InlineData(0, 0)]
    [InlineData(20, 60)]
    public void FalseAlarmsComeAtTheirRate(double perMinute, int expected)
    {
        var rig = new Rig(Both(20), with: settings => settings with { FalseAlarmsPerMinute = perMinute });
        rig.Silence(3 * 60_000);

        // Poisson: the standard deviation of 60 is 7.7; three of them either way.
        Assert.InRange(rig.Presses.Count, expected * 0.6, expected * 1.4);
    }

    [Fact]
    public void LapsesMissClearTones()
    {
        var rig = new Rig(Both(10), with: settings => settings with { LapseRate = 0.3 });
        var heard = Enumerable.Range(0, 100).Count(_ => rig.Present(Ear.Left, _oneKilohertz, HearingLevel.FromDecibels(60)));

        // Binomial: 70 of 100, standard deviation 4.6; three of them either way.
        Assert.InRange(heard, 56, 84);
    }

    [Fact]
    public void ReactionTimesLieAboutTheirMedian()
    {
        var rig = new Rig(Both(10), with: settings => settings with { ReactionMedianMs = 420 });
        var reactions = new List<double>();
        for (var i = 0; i < 60; i++)
        {
            var onset = rig.Frame + (long)(Rig.SilenceBeforeMs * 48);
            rig.Present(Ear.Right, _oneKilohertz, HearingLevel.FromDecibels(60));
            reactions.Add((rig.Presses[^1].DownFrame - onset) / 48.0);
        }

        reactions.Sort();
        Assert.InRange(reactions[30], 390, 450);
        Assert.All(reactions, reaction => Assert.InRange(reaction, 190, 1000));
        Assert.True(reactions[^1] - reactions[0] > 100);
    }
}
