using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Keys;

/// <summary>What may take a kit's key away waits for a greeting of the same kit that is under way.</summary>
public sealed class RetiringTests
{
    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task ReleasingAndPackingWaitForAGreetingUnderWay(bool release)
    {
        var token = TestContext.Current.CancellationToken;
        await using var hub = await RunningHub.Start();
        var pella = await hub.Person("Pella Nyström", Roles.Coordinator);
        await using var kit = await hub.Kit();
        await using var other = await hub.Kit("kit-02");
        await using var console = await hub.Console(pella);
        await using var second = await hub.Console(pella);
        KitCommand command = release ? new ReleaseKit() : new PackKit(LoanId.New(), [], null, null);
        var greeting = new TaskCompletionSource<bool>(TaskCreationOptions.RunContinuationsAsynchronously);
        var held = hub.Get<PresenceGate>().Alone(kit.KitId, () => greeting.Task, token);

        var asked = console.SendKit(TestConsole.KitEnvelope(kit.KitId, command));

        // Commands decide one after the other: by the time twenty later ones are answered it would be, if it did not wait.
        for (var round = 0; round < 20; round++)
        {
            await second.MustKit(other.KitId, new RecordMove($"shelf {round}", null, null));
        }

        Assert.False(asked.IsCompleted);
        greeting.SetResult(true);
        await held;
        Assert.NotNull(await asked);
    }
}
