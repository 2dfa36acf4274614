using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Practice;

/// <summary>Sign-offs and registrations over a real connection: who may keep whose.</summary>
public sealed class PracticeHubTests
{
    [Fact]
    public async Task TheCoordinatorKeepsSignOffsCliniciansTheirOwnRegistrationsAndTheOwnerAll()
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        var ivo = await hub.Person("Ivo Lindqvist", Roles.Clinician);
        var ilse = await hub.Person("Ilse Sorrel", Roles.Assistant);
        await using var coordinator = await hub.Console(await hub.Person("Iris Hale", Roles.Coordinator));
        await using var clinician = await hub.Console(maren);
        await using var owner = await hub.Console(await hub.Person("Owen Marsh", Roles.Owner));
        var today = (await Read(clinician)).Today;
        var own = new KeepRegistration(Guid.CreateVersion7(), maren, "CA-NS", "A-1042", "Audiologist", today.AddDays(20));

        Assert.Null((await Ask(coordinator, new SetTier(ilse, AssistantTier.Trained, "course of the clinic"))).Refusal);
        Assert.Null((await Ask(coordinator, new GiveSignOff(Guid.CreateVersion7(), ilse, AssistantTask.EarPicture, maren, VerifiedHow.InPerson, today, today.AddDays(300), null))).Refusal);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await Ask(clinician, new SetTier(ilse, AssistantTier.Licensed, "so it is"))).Refusal?.Code);
        Assert.Null((await Ask(clinician, own)).Refusal);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await Ask(clinician, own with { RegistrationId = Guid.CreateVersion7(), PersonId = ivo })).Refusal?.Code);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await Ask(coordinator, own with { RegistrationId = Guid.CreateVersion7() })).Refusal?.Code);
        Assert.Null((await Ask(owner, own with { RegistrationId = Guid.CreateVersion7(), PersonId = ivo })).Refusal);
        Assert.Equal(RefusalCodes.PersonUnknown, (await Ask(owner, own with { RegistrationId = Guid.CreateVersion7(), PersonId = ilse })).Refusal?.Code);

        var view = await Read(coordinator);
        var assistant = Assert.Single(view.Assistants);
        Assert.Contains(AssistantTask.EarPicture, assistant.MayDo);
        Assert.Equal("Maren Toft", Assert.Single(assistant.SignOffs).VerifiedBy);
        Assert.Equal(["Ivo Lindqvist", "Maren Toft"], view.Clinicians.Select(shown => shown.Person.Name));
        Assert.All(view.Clinicians, shown => Assert.Equal(Lasting.EndsSoon, Assert.Single(shown.Registrations).Lasting));
    }

    private static Task<Receipt> Ask(TestConsole console, FleetCommand command) => console.Connection.InvokeAsync<Receipt>(
        nameof(IConsoleHub.AskFleet),
        new FleetCommandEnvelope(Protocol.Version, CommandId.New(), TimeProvider.System.GetUtcNow().AddMinutes(5), command),
        TestContext.Current.CancellationToken);

    private static async Task<PracticeView> Read(TestConsole console) =>
        (await console.Connection.InvokeAsync<PracticeReply>(nameof(IConsoleHub.ReadPractice), TestContext.Current.CancellationToken)).View!;
}
