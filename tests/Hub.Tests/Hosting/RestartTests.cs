using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Hosting;

public sealed class RestartTests
{
    [Fact]
    public async Task AfterARestartOpenSessionsHaveLostTheirLinkAndAStepInFlightIsNotReplayed()
    {
        using var folder = new TempFolder();
        SessionId session;
        string clinician;
        await using (var first = await RunningHub.Start(folder))
        {
            clinician = await first.Person("Maren Toft", Roles.Clinician);
            await using var kit = await first.Kit();
            session = await first.Session(clinician);
            await using var console = await first.Console(clinician);
            await console.Watch(session);
            await console.Ask(new TakeControl());
            await kit.Connect();
            await Walk.ToTesting(console, kit);
            await console.Must(new OrderStep(new PresentToneStep(Ear.Left, 1000, 40, ToneShape.Steady, 1000), false));
        }

        await using var second = await RunningHub.Start(folder);
        await using var again = await second.Console(clinician);

        var view = (await again.Watch(session)).View!;

        Assert.Equal((SessionStage.LinkLost, SessionStage.Testing), (view.Stage, view.ResumeStage!.Value));
        Assert.True(view.Step!.Running());
        Assert.Equal("Maren Toft", view.Control.HolderName);
        await using var back = await second.Kit();
        var welcome = await back.Connect();
        Assert.Equal(SessionStage.Testing, welcome.Scene!.Stage);
        Assert.Equal(RefusalCodes.LinkLost, (await again.Until(shown => shown.Stage == SessionStage.Testing)).Step!.Code);
        Assert.False(back.Orders.Reader.TryRead(out _));
    }

    [Fact]
    public async Task AGapLongerThanTheLimitLeadsBackToTheRoom()
    {
        await using var hub = await RunningHub.Start(change: settings => settings with { GapLimit = TimeSpan.FromTicks(1) });
        var clinician = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(clinician);
        await using var console = await hub.Console(clinician);
        await console.Watch(session);
        await console.Ask(new TakeControl());
        await kit.Connect();
        await Walk.ToTesting(console, kit);

        await kit.Disconnect();
        await console.Until(view => view.Stage == SessionStage.LinkLost);
        await kit.Connect();

        var view = await console.Until(shown => shown.Stage == SessionStage.RoomNoise);
        Assert.Null(view.Room);
        Assert.Null(view.SideProof);
    }

    [Fact]
    public void EverythingThatIsWrongWithTheSettingsIsSaidAtOnce()
    {
        var fault = Assert.Throws<ArgumentException>(() => HubHost.Build(new HubSettings { DataFolder = " ", Urls = "", GapLimit = TimeSpan.Zero, KitTimeout = TimeSpan.Zero }));

        Assert.All(["DataFolder", "Urls", "GapLimit", "KitTimeout"], name => Assert.Contains(name, fault.Message, StringComparison.Ordinal));
    }
}
