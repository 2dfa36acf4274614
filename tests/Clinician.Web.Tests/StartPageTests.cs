using Bunit;
using TeleHearing.Clinician.Web.Kits;
using TeleHearing.Clinician.Web.Layout;
using TeleHearing.Clinician.Web.Today;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

public sealed class StartPageTests : ConsoleContext
{
    [Fact]
    public async Task AClinicianSeesTheDayWithStagesInWords()
    {
        await SignIn();
        Link.Board = SampleViews.Board(SessionStage.Testing, SessionStage.Scheduled);

        var page = Render<TodayPage>();

        var rows = page.FindAll(".sessions li").Select(row => Reading.Text(row)).ToList();
        Assert.Contains("09:30 Edda Sorrel", rows[0], StringComparison.Ordinal);
        Assert.Contains("kit-01: ● online Testing controlled by Maren Toft", rows[0], StringComparison.Ordinal);
        Assert.Equal($"sessions/{SampleViews.Session}", page.Find(".sessions a").GetAttribute("href"));
    }

    [Fact]
    public async Task ACoordinatorSeesKitsAndNoSessions()
    {
        SignedIn = new Me("p-3", "Pella Nyström", [Roles.Coordinator]);
        await SignIn();
        Link.Board = SampleViews.Board() with { Sessions = [] };

        var page = Render<TodayPage>();

        Assert.Equal("Kits", page.Find("h1").TextContent);
        Assert.Contains("kit-02 travelling set, insert earphones Office shelf ○ not online", page.Words(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task TheKitListSaysWhereWhenAndWhichVersion()
    {
        await SignIn();

        var page = Render<KitsPage>();

        var row = Reading.Text(page.FindAll("tbody tr")[2]);
        Assert.Equal("kit-03 loan kit, supra-aural earphones Not yet sent out ○ not online never not told yet not told yet no not known", row);
    }

    [Fact]
    public async Task AChangeOfTheBoardIsShown()
    {
        await SignIn();
        var page = Render<KitsPage>();
        var board = SampleViews.Board();

        Link.Push(board with { HubTime = board.HubTime.AddSeconds(5), Kits = [board.Kits[1] with { Online = true }] });

        await page.WaitForAssertionAsync(() => Assert.Contains("● online now", Reading.Text(page.Find("tbody tr")), StringComparison.Ordinal));
    }

    [Fact]
    public async Task WhoeverIsNotSignedInIsToldToOpenTheLink()
    {
        SignedIn = null;

        var page = Render<MainLayout>();

        await page.WaitForAssertionAsync(() => Assert.Equal("Open your sign-in link", page.Find("h1").TextContent));
        Assert.Empty(page.FindAll("nav"));
    }

    [Fact]
    public void ALostLinkIsSaidCalmlyAndWithoutAlarm()
    {
        var status = Render<LinkStatus>();
        Assert.Contains("Hub connected", status.Words(), StringComparison.Ordinal);

        Link.Enter(Connection.LinkPhase.Reconnecting);

        Assert.Contains("Reconnecting to the hub… nothing you recorded is lost", status.Words(), StringComparison.Ordinal);
    }
}
