using System.Net;
using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Identity.Accounts;

/// <summary>What the owner does about people, and that somebody always stays owner.</summary>
public sealed class PeopleTests
{
    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Fact]
    public async Task AnInvitedPersonSetsUpAndIsListed()
    {
        await using var desk = await AccountDesk.Open();
        await using var owner = await desk.Hub.Console(await desk.Hub.Person("Runa Aske", Roles.Owner));

        var answer = await Ask(owner, new InvitePerson("Pella Nyström", [Roles.Coordinator, Roles.Assistant]));
        var invited = Assert.Single((await Read(owner)).People, person => person.Name == "Pella Nyström");
        Assert.Equal((PersonState.Invited, answer.LinkUntil), (invited.State, invited.Until));
        using var browser = desk.Hub.Browser();
        await desk.SetUp(browser, answer.LinkPath!, "pella");

        var open = Assert.Single((await Read(owner)).People, person => person.Name == "Pella Nyström");
        Assert.Equal((PersonState.Open, true, 0), (open.State, open.HasPassword, open.Passkeys));
        Assert.Equal([Roles.Assistant, Roles.Coordinator], open.Roles);
        Assert.Null((await Ask(owner, new ChangeRoles(open.Id, [Roles.Owner, Roles.Clinician]))).Refusal);

        // Who was given which role stands in the audit by the account's id, from the invitation on.
        Assert.Equal(
            [$"person {open.Id}|invite|roles assistant, coordinator", $"person {open.Id}|roles clinician, owner"],
            (await desk.Entries(Door.Request(typeof(TeleHearing.Hub.People.AskPeopleCommand)))).Select(entry => string.Join('|', entry.About)));
        Assert.Equal(["by password and authenticator"], Assert.Single(await desk.Entries(AuditActs.SignedIn), entry => entry.PersonId == open.Id).About);
    }

    [Fact]
    public async Task ChangedRolesEndedSignInsAndAClosedAccountAreFeltAtOnce()
    {
        await using var desk = await AccountDesk.Open();
        await using var owner = await desk.Hub.Console(await desk.Hub.Person("Runa Aske", Roles.Owner));
        var maren = await desk.Hub.Person("Maren Toft", Roles.Clinician);
        using var browser = desk.Hub.Browser(await desk.Hub.SignIn(maren));

        Assert.Null((await Ask(owner, new ChangeRoles(maren, [Roles.Coordinator]))).Refusal);
        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(browser));
        Assert.Equal([Roles.Coordinator], Assert.Single((await Read(owner)).People, person => person.Id == maren).Roles);

        using var second = desk.Hub.Browser(await desk.Hub.SignIn(maren));
        Assert.Null((await Ask(owner, new EndSignIns(maren))).Refusal);
        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(second));

        using var third = desk.Hub.Browser(await desk.Hub.SignIn(maren));
        var link = await desk.Invite(maren);
        Assert.Null((await Ask(owner, new ClosePerson(maren))).Refusal);
        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(third));
        Assert.Equal(HttpStatusCode.Gone, (await third.GetAsync(link, Token)).StatusCode);
        Assert.Equal(PersonState.Closed, Assert.Single((await Read(owner)).People, person => person.Id == maren).State);

        var again = await Ask(owner, new RenewLink(maren));
        await desk.SetUp(third, again.LinkPath!, "maren");
        Assert.Equal(HttpStatusCode.OK, await AccountDesk.Me(third));
    }

    [Fact]
    public async Task ALostAccountsOldWaysStopWorking()
    {
        await using var desk = await AccountDesk.Open();
        await using var owner = await desk.Hub.Console(await desk.Hub.Person("Runa Aske", Roles.Owner));
        var (maren, key, recovery) = await desk.Person("Maren Toft", "maren", Roles.Clinician);

        Assert.NotNull((await Ask(owner, new RenewLink(maren))).LinkPath);

        using var browser = desk.Hub.Browser();
        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, desk.Code(key)));
        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, recovery[0]));
    }

    [Fact]
    public async Task TheLastOwnerStays()
    {
        await using var desk = await AccountDesk.Open();
        var runa = await desk.Hub.Person("Runa Aske", Roles.Owner);
        await using var owner = await desk.Hub.Console(runa);

        Assert.Equal(RefusalCodes.LastOwner, (await Ask(owner, new ClosePerson(runa))).Refusal?.Code);
        Assert.Equal(RefusalCodes.LastOwner, (await Ask(owner, new ChangeRoles(runa, [Roles.Clinician]))).Refusal?.Code);

        // Somebody who was only invited cannot get in yet.
        var second = (await Ask(owner, new InvitePerson("Ivo Lindqvist", [Roles.Owner]))).LinkPath!;
        Assert.Equal(RefusalCodes.LastOwner, (await Ask(owner, new ClosePerson(runa))).Refusal?.Code);
        Assert.Equal((PersonState.LinkOver, Roles.Owner), Assert.Single((await Read(owner)).People, person => person.Id == runa) is var line ? (line.State, line.Roles.Single()) : default);

        using var browser = desk.Hub.Browser();
        await desk.SetUp(browser, second, "ivo");
        Assert.Null((await Ask(owner, new ClosePerson(runa))).Refusal);
    }

    [Fact]
    public async Task ANameThatIsThereAlreadyIsNotEnteredTwice()
    {
        await using var desk = await AccountDesk.Open();
        await using var owner = await desk.Hub.Console(await desk.Hub.Person("Runa Aske", Roles.Owner));

        var pressedTwice = await Task.WhenAll(Ask(owner, new InvitePerson("Pella Nyström", [Roles.Coordinator])), Ask(owner, new InvitePerson(" Pella Nyström ", [Roles.Coordinator])));

        Assert.Single(pressedTwice, answer => answer.LinkPath is not null);
        Assert.Equal(RefusalCodes.NameTaken, Assert.Single(pressedTwice, answer => answer.LinkPath is null).Refusal?.Code);
        Assert.Single((await Read(owner)).People, person => person.Name == "Pella Nyström");
    }

    [Fact]
    public async Task BadInputIsSaidAndChangesNothing()
    {
        await using var desk = await AccountDesk.Open();
        await using var owner = await desk.Hub.Console(await desk.Hub.Person("Runa Aske", Roles.Owner));
        PeopleAct[] bad = [new InvitePerson("", [Roles.Clinician]), new InvitePerson("Maren Toft", []), new InvitePerson("Maren Toft", ["director"]), new InvitePerson(new string('a', 101), [Roles.Clinician]), new InvitePerson("Maren Toft", [Roles.Owner, Roles.Owner])];

        foreach (var act in bad)
        {
            Assert.Equal(RefusalCodes.Invalid, (await Ask(owner, act)).Refusal?.Code);
        }

        foreach (var act in new PeopleAct[] { new ChangeRoles("nobody", [Roles.Owner]), new ClosePerson("nobody"), new EndSignIns("nobody"), new RenewLink("nobody") })
        {
            Assert.Equal(RefusalCodes.PersonUnknown, (await Ask(owner, act)).Refusal?.Code);
        }

        Assert.Single((await Read(owner)).People);
    }

    private static Task<PeopleAnswer> Ask(TestConsole console, PeopleAct act) => console.Connection.InvokeAsync<PeopleAnswer>(nameof(IConsoleHub.AskPeople), new PeopleRequest(act), Token);

    private static Task<PeopleReply> Read(TestConsole console) => console.Connection.InvokeAsync<PeopleReply>(nameof(IConsoleHub.ReadPeople), Token);
}
