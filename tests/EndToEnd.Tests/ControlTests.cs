using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>Only who holds control commands; handing it over raises the epoch and the old holder's commands are refused.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class ControlTests
{
    [Fact]
    public async Task ASecondClinicianWatchesAndCannotCommandUntilControlIsHandedOver()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", cancellation);
        var before = await rig.WalkTo(SessionStage.Identity, cancellation);
        await using var second = await rig.Hub.SignIn(cancellation);
        Assert.Equal(before.Stage, second.View.Stage);

        Assert.Equal(RefusalCodes.NotInControl, (await second.Ask(new Hold("not mine to hold"), cancellation)).Refusal?.Code);
        Assert.Equal(RefusalCodes.ControlHeld, (await second.Ask(new TakeControl(), cancellation)).Refusal?.Code);
        Assert.Equal(before.DecisiveVersion, rig.Link.View.DecisiveVersion);

        var old = rig.Link.View;
        Assert.True((await rig.Link.Ask(new ReleaseControl(), cancellation)).Accepted());
        await second.Until(view => view.Control.HolderId is null, cancellation);
        Assert.True((await second.Ask(new TakeControl(), cancellation)).Accepted());
        await rig.Link.Until(view => view.Control.HolderId == second.Who!.Id, cancellation);
        await second.Until(view => view.Control.HolderId == second.Who!.Id, cancellation);

        var late = new CommandEnvelope(Protocol.Version, CommandId.New(), old.SessionId, old.Control.Epoch, old.Version, rig.Link.View.HubTime.AddSeconds(10), new Hold("late"));
        var refused = await rig.Link.Ask(late, cancellation);
        Assert.Contains(refused.Refusal?.Code, new[] { RefusalCodes.OldEpoch, RefusalCodes.NotInControl, RefusalCodes.StaleView });
        Assert.Equal(SessionStage.Identity, second.View.Stage);
        Assert.True((await second.Ask(new Hold("mine now"), cancellation)).Accepted());
    }

    [Fact]
    public async Task ACommandOfAnotherProtocolVersionIsRefused()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", cancellation);
        var view = await rig.WalkTo(SessionStage.Identity, cancellation);

        var envelope = new CommandEnvelope(Protocol.Version + 1, CommandId.New(), view.SessionId, view.Control.Epoch, view.Version, view.HubTime.AddSeconds(10), new Hold("from the future"));
        var receipt = await rig.Link.Ask(envelope, cancellation);

        Assert.Equal(RefusalCodes.ProtocolVersion, receipt.Refusal?.Code);
        Assert.NotNull(receipt.Refusal?.Remedy);
        Assert.Equal(SessionStage.Identity, rig.Link.View.Stage);
    }
}
