using Bunit;
using Microsoft.AspNetCore.Components;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Clinician.Web.Kits;
using TeleHearing.Clinician.Web.Layout;
using TeleHearing.Clinician.Web.Today;
using TeleHearing.Clinician.Web.Tests.Kits;
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
    public async Task ACoordinatorSeesTodaysWorkWithTheKitsAndNoSessions()
    {
        SignedIn = new Me("p-3", "Pella Nyström", [Roles.Coordinator]);
        await SignIn();
        Link.Board = SampleViews.Board() with { Sessions = [] };
        Link.KitBoard = SampleBoard.Of(SampleBoard.Received(2));

        var page = Render<TodayPage>();

        Assert.Equal("Today with the kits", page.Find("h1").TextContent);
        Assert.Contains("kit-2 loan kit, circumaural earphones Clean it", page.Words(), StringComparison.Ordinal);
        Assert.Empty(page.FindAll(".sessions"));
    }

    [Fact]
    public async Task WhoeverIsNotSignedInIsToldToOpenTheLink()
    {
        SignedIn = null;

        var page = Render<MainLayout>();

        await page.WaitForAssertionAsync(() => Assert.Equal("You are not signed in", page.Find("h1").TextContent));
        Assert.Empty(page.FindAll("nav"));
    }

    [Theory]
    [InlineData("fleet/plan", true)]
    [InlineData("fleet/advice?kits=4", true)]
    [InlineData("errands", true)]
    [InlineData("loans/0193a000-0000-7000-8000-0000000000b1", true)]
    [InlineData("kits", false)]
    public void LoansIsMarkedInTheTopBarOnEveryPageOfItsTabs(string address, bool marked)
    {
        Services.GetRequiredService<NavigationManager>().NavigateTo(address);

        var link = Render<LoansLink>(ask => ask.AddUnmatched("href", "loans"));

        Assert.Equal(marked, link.Find("a").ClassList.Contains("active"));
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
