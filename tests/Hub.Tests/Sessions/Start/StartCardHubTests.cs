using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions.Start;

/// <summary>The start card over real connections: what is read for it, what the hub makes of it, what the kit is told.</summary>
public sealed class StartCardHubTests
{
    [Fact]
    public async Task RegistrationsAndLookAlikesAreReadAndTheKitShowsWhoIsRegistered()
    {
        var token = TestContext.Current.CancellationToken;
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        await kit.Connect();
        var session = await hub.Session(maren);
        await hub.Get<SessionSchedule>().Plan(
            new SessionPlan(new PersonTested("P-0002", "Otilie Brandvold", new DateOnly(1951, 4, 3), "yearly check"), "at home", new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero), new KitId("kit-01"), maren),
            token);
        await using var console = await hub.Console(maren);
        await console.Watch(session);
        var before = await Read();
        Assert.Equal("P-0002", Assert.Single(before.LookAlikes).Reference);
        Assert.Equal(RegistrationStanding.None, before.StandingAt("CA-NS").Standing);

        await console.Must(new TakeControl());
        await console.Must(new Advance());
        Assert.Equal(RefusalCodes.ReasonMissing, (await console.Ask(new ConfirmIdentity(Samples.Card() with { WhoItIs = null }))).Refusal?.Code);
        Assert.Equal(RefusalCodes.ReasonMissing, (await console.Ask(new ConfirmIdentity(Samples.Card() with { RegistrationReason = null }))).Refusal?.Code);

        var keep = new KeepRegistration(Guid.CreateVersion7(), maren, "CA", "A-1042", "Audiologist", before.Today.AddDays(90));
        Assert.Null((await console.Connection.InvokeAsync<Receipt>(nameof(IConsoleHub.AskFleet), new FleetCommandEnvelope(Protocol.Version, CommandId.New(), TimeProvider.System.GetUtcNow().AddMinutes(5), keep), token)).Refusal);
        await console.Must(new ConfirmIdentity(Samples.Card() with { RegistrationReason = null }));

        var view = await console.Until(shown => shown.Identity is not null);
        Assert.Equal((RegistrationStanding.Matches, "A-1042"), (view.Identity!.Standing, view.Identity.Registration!.Number));
        await console.Must(new Advance());
        Assert.Equal("Audiologist, A-1042 (CA)", (await kit.UntilScene(scene => scene.ClinicianRegistration is not null)).ClinicianRegistration);

        async Task<StartCardHelp> Read() => (await console.Connection.InvokeAsync<StartCardReply>(nameof(IConsoleHub.ReadStartCard), session, token)).Help!;
    }
}
