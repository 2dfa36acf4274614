using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Clinician.Web.Workbench.Hearing;

namespace TeleHearing.Clinician.Web.Tests;

public sealed class HandDialTests
{
    [Fact]
    public void TheLevelMovesByTheChosenStep()
    {
        var dial = HandDial.First with { LevelDbHl = 40 };

        Assert.Equal(45, dial.After(HandAction.Louder).LevelDbHl);
        Assert.Equal(38, dial.After(HandAction.StepOf2).After(HandAction.Softer).LevelDbHl);
        Assert.Equal(41, dial.After(HandAction.StepOf1).After(HandAction.Louder).LevelDbHl);
    }

    [Fact]
    public void TheFrequencyMovesThroughTheElevenAudiometricOnes()
    {
        var dial = HandDial.First;
        for (var turn = 0; turn < 20; turn++)
        {
            dial = dial.After(HandAction.LowerFrequency);
        }

        var visited = new List<int> { dial.Frequency.Hertz };
        for (var turn = 0; turn < 10; turn++)
        {
            dial = dial.After(HandAction.HigherFrequency);
            visited.Add(dial.Frequency.Hertz);
        }

        Assert.Equal([125, 250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000], visited);
    }

    [Fact]
    public void NoRunOfKeysLeavesTheRangeOfTheDial() =>
        Prop.ForAll(
            ArbMap.Default.GeneratorFor<byte>().ListOf().ToArbitrary(),
            keys =>
            {
                var actions = Enum.GetValues<HandAction>();
                var dial = keys.Aggregate(HandDial.First, (turned, key) => turned.After(actions[key % actions.Length]));
                return dial.LevelDbHl is >= HearingLevels.LowestPresentedDbHl and <= HandDial.HighestDbHl && AudiometricFrequency.All.Contains(dial.Frequency) && dial.StepDb is 1 or 2 or 5
                    && dial.MaskerDbEm is >= HearingLevels.LowestPresentedDbHl and <= 100 && (dial.Route == ConductionRoute.Air || dial.Frequency.Hertz is >= 250 and <= 4000);
            }).QuickCheckThrowOnFailure();
}
