using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Link;

public sealed class HubLinkTests
{
    private static PresentToneStep Tone(double level = 40) => new(Ear.Right, 1000, level, ToneShape.Pulsed, 1000);

    [Fact]
    public async Task AnOrderedToneIsPlayedHeardAndReportedInOrder()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);

        var order = hub.Order(Tone());
        await hub.CarryAsync(order);
        var ended = await hub.EndOfAsync(order.StepId);

        Assert.Equal(StepEnding.Completed, ended.Ending);
        Assert.Equal(TrialVerdict.Heard, hub.All<TrialDone>().Single().Trial.Verdict);
        Assert.Equal([typeof(StepStarted), typeof(TrialDone), typeof(StepEnded)], hub.Held.Select(entry => entry.Report.GetType()).Where(type => type != typeof(AssistantDone)));
        Assert.Equal(Enumerable.Range(1, hub.Held.Count).Select(number => (long)number), hub.Held.Select(entry => entry.Sequence));
    }

    [Fact]
    public async Task ASearchOfAnEarReportsEachThresholdNearTheListenersOwn()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);

        var order = hub.Order(new SearchEarStep(Ear.Left, [1000, 4000], StoppingRule.TwoOfThree, ToneShape.Pulsed));
        await hub.CarryAsync(order);
        var ended = await hub.EndOfAsync(order.StepId);

        Assert.Equal(StepEnding.Completed, ended.Ending);
        var found = hub.All<ThresholdFound>().Select(report => report.Threshold).ToList();
        Assert.Equal([1000, 4000], found.Select(threshold => threshold.FrequencyHz));
        Assert.InRange(Assert.IsType<ThresholdOutcome.Established>(found[0].Outcome).LevelDbHl, 20, 30);
        Assert.InRange(Assert.IsType<ThresholdOutcome.Established>(found[1].Outcome).LevelDbHl, 45, 55);
        Assert.All(found, threshold => Assert.All(threshold.Trials, trial => Assert.NotEmpty(trial.Noise)));
    }
}
