using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>Whoever is put out in the middle of a session leaves it silent, on hold, and free for a colleague.</summary>
public sealed class EndedHolderTests
{
    [Fact]
    public async Task EndingTheControllersConsolesSilencesAndHoldsTheirSessionWithinFiveSeconds()
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(maren);
        await using var console = await hub.Console(maren);
        await console.Watch(session);
        await console.Must(new TakeControl());
        await kit.Connect();
        await Walk.ToTesting(console, kit);
        await using var colleague = await hub.Console(await hub.Person("Ivo Lindqvist", Roles.Clinician));
        await colleague.Watch(session);
        var step = (await console.Must(new OrderStep(new PresentToneStep(Ear.Left, 1000, 40, ToneShape.Steady, 1000), false))).StepId;
        Assert.Equal(step, (await kit.NextOrder()).StepId);

        hub.Get<LivePeople>().End(maren);

        var held = await colleague.Until(view => view.Stage == SessionStage.Paused).WaitAsync(TimeSpan.FromSeconds(5), TestContext.Current.CancellationToken);
        Assert.Null(held.Control.HolderId);

        // The kit is told to end what sounds, and the lease is not renewed for it.
        Assert.Equal(step, await kit.Cuts.Reader.ReadAsync(TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task EndingTheConsolesOfWhoLentATaskSilencesAndHoldsTheSessionTooAndABeatOnItsWayChangesNothing()
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        var ada = await hub.Person("Ada Wiksell", Roles.Assistant);
        await using var kit = await hub.Kit();
        var session = await hub.Session(maren);
        await using var console = await hub.Console(maren);
        await console.Watch(session);
        await console.Must(new TakeControl());
        await kit.Connect();
        await Walk.ToTesting(console, kit);
        await using var colleague = await hub.Console(await hub.Person("Ivo Lindqvist", Roles.Clinician));
        await colleague.Watch(session);
        await console.Must(new LendControl(ada, [AssistantTask.RoomNoise], 10));

        hub.Get<LivePeople>().End(maren);
        hub.Get<ControlLeases>().Renew(session, new PersonCaller(maren, "Maren Toft", [Roles.Clinician]));

        var held = await colleague.Until(view => view.Stage == SessionStage.Paused).WaitAsync(TimeSpan.FromSeconds(5), TestContext.Current.CancellationToken);
        Assert.Null(held.Control.HolderId);
    }
}
