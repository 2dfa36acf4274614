using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>What a long way between hub and kit costs an ear that the kit measures by itself: the order and the last word cross it once each, and no tone waits for it.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class DelayTests(ITestOutputHelper output)
{
    /// <summary>Half of a round trip of 600 ms.</summary>
    private static readonly TimeSpan _oneWay = TimeSpan.FromMilliseconds(300);

    /// <summary>Longer by at most this share of the ear's own time.</summary>
    private const double LargestShare = 0.02;

    private const int Rounds = 3;

    /// <summary>An ear of five thresholds, the shortest protocol but one.</summary>
    private static readonly PlanPart _ear = new(Ear.Right, ConductionRoute.Air, Masked: false);

    [Fact]
    public async Task SixHundredMillisecondsMakeAnEarAtMostTwoPercentLonger()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", cancellation);
        await rig.WalkTo(SessionStage.Testing, cancellation);
        await Must(rig, new ChooseProtocol(ShippedProtocols.Short.Id, ShippedProtocols.Short.Version));

        // The kit's clock counts the sound; at fast pace it runs ahead of the world, so what the world's clock adds for the delay is seen in seconds instead of minutes.
        var near = new List<Measured>();
        var far = new List<Measured>();
        for (var round = 0; round < Rounds; round++)
        {
            rig.Proxy.OneWayDelay = TimeSpan.Zero;
            near.Add(await Measure(rig));
            rig.Proxy.OneWayDelay = _oneWay;
            far.Add(await Measure(rig));
        }

        // At fast pace a step's own time in the world follows the length of its sound; the quickest of each says least of how busy the machine is.
        var added = Math.Max(0, far.Min(one => one.WorldSeconds) - near.Min(one => one.WorldSeconds));
        var ear = far.Concat(near).Average(one => one.KitSeconds);
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"An ear takes {ear:0} s on the kit; a round trip of 600 ms adds {added:0.00} s, {100 * added / ear:0.00} %."));
        Assert.True(added >= 0.3, "The delay was not felt at all, so nothing is shown.");
        Assert.True(added <= LargestShare * ear, $"The delay added {added:0.00} s to an ear of {ear:0} s.");
    }

    private static async Task<Measured> Measure(SessionRig rig)
    {
        var cancellation = TestContext.Current.CancellationToken;
        var began = TimeProvider.System.GetTimestamp();
        var receipt = await rig.Link.Ask(new OrderStep(new MeasurePartStep(_ear), LoudConfirmed: false), cancellation);
        Assert.True(receipt.Accepted(), receipt.Refusal?.Sentence);
        var view = await rig.Link.Until(seen => seen.Step is { Ending: not null } step && step.StepId == receipt.StepId, cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
        var world = TimeProvider.System.GetElapsedTime(began);
        Assert.True(view.Step!.Ending == StepEnding.Completed, view.Step.Reason);
        var trials = view.Step.Trials;

        // For the next round the ear counts as not measured.
        await Must(rig, new ChangePlan(new PlanOverride.BeginAgain(Ear.Right, ConductionRoute.Air, 0)));
        return new Measured(world.TotalSeconds, (trials[^1].OnsetKitMs + trials[^1].DurationMs - trials[0].OnsetKitMs) / 1000);
    }

    private static async Task Must(SessionRig rig, SessionCommand command)
    {
        var receipt = await rig.Link.Ask(command, TestContext.Current.CancellationToken);
        Assert.True(receipt.Accepted(), receipt.Refusal?.Sentence);
        await rig.Link.Until(seen => seen.Version >= receipt.SessionVersion, TestContext.Current.CancellationToken);
    }

    private sealed record Measured(double WorldSeconds, double KitSeconds);
}
