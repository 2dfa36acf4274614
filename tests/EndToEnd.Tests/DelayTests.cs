using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>What a long way between hub and kit costs an ear that the kit measures by itself: the order and the last word cross it once each, and no tone waits for it.</summary>
[Collection(Alone.Name)]
[Trait("Kind", "EndToEnd")]
public sealed class DelayTests(ITestOutputHelper output)
{
    /// <summary>Half of a round trip of 600 ms.</summary>
    private static readonly TimeSpan _oneWay = TimeSpan.FromMilliseconds(300);

    /// <summary>Longer by at most this share of the ear's own time.</summary>
    private const double LargestShare = 0.02;

    /// <summary>Silences on the way that are put up with.</summary>
    private const int MostInterruptions = 3;

    private static readonly PlanPart _ear = new(Ear.Right, ConductionRoute.Air, Masked: false);

    [Fact]
    public async Task SixHundredMillisecondsMakeAnEarAtMostTwoPercentLonger()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", cancellation);
        await rig.WalkTo(SessionStage.Testing, cancellation);
        await rig.Must(new ChooseProtocol(ShippedProtocols.Short.Id, ShippedProtocols.Short.Version), TestContext.Current.CancellationToken);

        // How long an ear is, on the kit's clock: five thresholds and a repeat, the shortest protocol but one.
        var trials = (await Measure(rig)).Step!.Trials;
        var ear = TimeSpan.FromMilliseconds(trials[^1].OnsetKitMs + trials[^1].DurationMs - trials[0].OnsetKitMs);

        // What order and last word cost in the world: one frequency in real time shows it, for an ear of many is ordered and ended just the same.
        await rig.Agent.Kill(cancellation);
        await rig.Agent.Start("realtime", enrolmentCode: null, cancellation);
        await rig.WalkTo(SessionStage.Testing, cancellation);
        foreach (var hertz in ShippedProtocols.Short.AirHz.Skip(1))
        {
            await rig.Must(new ChangePlan(new PlanOverride.SkipFrequency(_ear, hertz)), TestContext.Current.CancellationToken);
        }

        var far = await Beyond(rig, _oneWay);

        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"An ear takes {ear.TotalSeconds:0} s on the kit. Beyond that order and last word take {far.TotalSeconds:0.00} s with a round trip of 600 ms: {100 * (far / ear):0.00} % of the ear."));
        Assert.True(far >= _oneWay, "The delay was not felt at all, so nothing is shown.");
        Assert.True(far <= LargestShare * ear, $"With the delay it takes {far.TotalSeconds:0.00} s beyond an ear of {ear.TotalSeconds:0} s.");
    }

    private static async Task<TimeSpan> Beyond(SessionRig rig, TimeSpan oneWay)
    {
        await rig.Must(new ChangePlan(new PlanOverride.BeginAgain(Ear.Right, ConductionRoute.Air, 0)), TestContext.Current.CancellationToken);
        rig.Proxy.OneWayDelay = oneWay;
        await Measure(rig);
        return (await ExportedLog.Read(rig.Link, rig.Hub.Session, TestContext.Current.CancellationToken)).BeyondTheKitsOwnTime();
    }

    /// <summary>Once more when the kit fell silent on the way: with 600 ms of a second's lease under way, a machine that is held up for a fifth of a second ends it, as it must.</summary>
    private static async Task<SessionView> Measure(SessionRig rig)
    {
        for (var again = 0; ; again++)
        {
            var view = await rig.CarryToItsEnd(new MeasurePartStep(_ear), loudConfirmed: false, TestContext.Current.CancellationToken);
            if (view.Step!.Ending == StepEnding.Completed)
            {
                return view;
            }

            Assert.True(view.Step.Ending == StepEnding.Interrupted && again < MostInterruptions, view.Step.Reason);
            await rig.WalkTo(SessionStage.Testing, TestContext.Current.CancellationToken);
        }
    }
}
