using Bunit;
using TeleHearing.Clinician.Web.People;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>The owner sees who works with the hub, invites, and changes what others may.</summary>
public sealed class PeoplePageTests : ConsoleContext
{
    private static readonly PersonLine _runa = new("p-1", "Runa Aske", [Roles.Owner], PersonState.Open, null, 2, true);
    private static readonly PersonLine _maren = new("p-2", "Maren Toft", [Roles.Clinician], PersonState.Locked, SampleViews.HubTime, 0, true);

    [Fact]
    public void StatesAreReadInWords()
    {
        Link.People = new PeopleReply([_maren, _runa, _maren with { Id = "p-3", Name = "Ivo Lindqvist", State = PersonState.LinkOver, Passkeys = 0, HasPassword = false }], null);

        var page = Render<PeoplePage>();

        var rows = page.FindAll("tbody tr").Select(row => row.TextContent).ToList();
        Assert.Contains("password locked until", rows[0], StringComparison.Ordinal);
        Assert.Contains("2 passkeys, password and authenticator", rows[1], StringComparison.Ordinal);
        Assert.Contains("no way in: give a new link", rows[2], StringComparison.Ordinal);
        Assert.Contains("nothing set up", rows[2], StringComparison.Ordinal);
    }

    [Fact]
    public async Task AnInvitationShowsItsLinkOnceAndKeepsWhatWasTypedWhenRefused()
    {
        Link.PeopleAnswer = _ => new PeopleAnswer(null, null, new Refusal(RefusalCodes.Invalid, "Choose at least one role.", "Put it right."));
        var page = Render<PeoplePage>();
        page.Find("input[type=text]").Change("Pella Nyström");
        await page.Find("form").SubmitAsync();

        Assert.Contains("Choose at least one role.", page.Find("[role=status]").TextContent, StringComparison.Ordinal);
        Assert.Equal("Pella Nyström", page.Find("input[type=text]").GetAttribute("value"));

        Link.PeopleAnswer = _ => new PeopleAnswer("/set-up/abc", SampleViews.HubTime.AddDays(3), null);
        page.FindAll("form input[type=checkbox]")[2].Change(true);
        await page.Find("form").SubmitAsync();

        var act = Assert.IsType<InvitePerson>(Link.PeopleActs[^1]);
        Assert.Equal(("Pella Nyström", Roles.Coordinator), (act.Name, Assert.Single(act.Roles)));
        Assert.EndsWith("/set-up/abc", page.Find("code").TextContent, StringComparison.Ordinal);
        await page.Button("I have handed it over").ClickAsync(new());
        Assert.Empty(page.FindAll("code"));
    }

    [Fact]
    public async Task RolesAreChangedAndARefusalIsRead()
    {
        Link.People = new PeopleReply([_runa], null);
        Link.PeopleAnswer = act => act is ClosePerson ? new PeopleAnswer(null, null, new Refusal(RefusalCodes.LastOwner, "Nobody else could get in as owner then.", null)) : new PeopleAnswer(null, null, null);
        var page = Render<PeoplePage>();

        await page.Find("button[aria-label='Change Runa Aske']").ClickAsync(new());
        page.FindAll("dialog input[type=checkbox]")[1].Change(true);
        await page.Button("Change the roles").ClickAsync(new());
        Assert.Equal([Roles.Clinician, Roles.Owner], Assert.IsType<ChangeRoles>(Link.PeopleActs[^1]).Roles.Order(StringComparer.Ordinal));

        await page.Find("button[aria-label='Change Runa Aske']").ClickAsync(new());
        await page.Button("Close the account").ClickAsync(new());
        Assert.Equal(new ClosePerson("p-1"), Link.PeopleActs[^1]);
        Assert.Contains("Nobody else could get in as owner then.", page.Find("[role=status]").TextContent, StringComparison.Ordinal);
    }
}
