using Bunit;
using Microsoft.AspNetCore.Components;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Clinician.Web.Kits.Board;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests.Kits;

/// <summary>The timeline: what it asks for, how it is read by keyboard, and what it says.</summary>
public sealed class TimelineTests : ConsoleContext
{
    private static DateOnly Today => SampleBoard.Today;

    public TimelineTests()
    {
        Link.KitBoard = SampleBoard.Of([.. Enumerable.Range(1, 45).Select(SampleBoard.Shelf)]);
        Link.Timeline = query => new KitTimelineView(query.From, query.Days, Today,
        [
            .. query.Kits.Select(kit => new KitTimelineRow(
                kit,
                [.. new[] { new KitSpan(KitSpanKind.AtSite, Today.DayNumber - query.From.DayNumber, 6, 0), new KitSpan(KitSpanKind.Session, Today.DayNumber - query.From.DayNumber + 2, 1, -1) }.Where(span => span.FirstDay >= 0)],
                ["Linden Court"])),
        ]);
    }

    [Fact]
    public void OnlyTheKitsAndDaysShownAreAskedFor()
    {
        Render<KitTimelinePage>();

        var query = Assert.Single(Link.TimelineQueries);
        Assert.Equal(KitListing.PageSize, query.Kits.Count);
        Assert.Equal(92, query.Days);
        Assert.InRange(Today.DayNumber, query.From.DayNumber, query.From.DayNumber + query.Days - 1);
    }

    [Fact]
    public async Task ArrowKeysGoOverKitsAndDaysAndEveryCellIsSaid()
    {
        var page = Render<KitTimelinePage>();
        var panel = page.FindComponent<TimelinePanel>();

        await Press(panel, "ArrowDown");
        Assert.Contains("kit-1, ", Said(page), StringComparison.Ordinal);
        Assert.Contains("today: at a site, Linden Court.", Said(page), StringComparison.Ordinal);

        await Press(panel, "ArrowRight", "ArrowRight", "ArrowDown");
        Assert.Contains("kit-2", Said(page), StringComparison.Ordinal);
        Assert.Contains("at a site, Linden Court; session.", Said(page), StringComparison.Ordinal);

        await panel.InvokeAsync(() => panel.Instance.KeyPressed("ArrowRight", shift: true));
        Assert.Contains("nothing planned", Said(page), StringComparison.Ordinal);
        Assert.NotNull(page.Find("rect.cursor"));
    }

    [Fact]
    public async Task GoingBelowTheLastKitTurnsThePage()
    {
        var page = Render<KitTimelinePage>();
        var panel = page.FindComponent<TimelinePanel>();
        await Press(panel, [.. Enumerable.Repeat("ArrowDown", KitListing.PageSize + 1)]);

        page.WaitForAssertion(() => Assert.Contains("kit-21", Said(page), StringComparison.Ordinal));
        Assert.Contains("21 to 40 of 45", page.Markup, StringComparison.Ordinal);
        await Press(panel, "ArrowUp");
        page.WaitForAssertion(() => Assert.Contains("kit-20", Said(page), StringComparison.Ordinal));
    }

    [Fact]
    public async Task GoingPastTheLastDayMovesTheWindow()
    {
        var page = Render<KitTimelinePage>();
        var panel = page.FindComponent<TimelinePanel>();
        await Press(panel, "ArrowDown", "PageDown", "PageDown", "PageDown");

        var last = Link.TimelineQueries[^1];
        Assert.InRange(Today.AddDays(3 * 46).DayNumber, last.From.DayNumber, last.From.DayNumber + last.Days - 1);
        await Press(panel, "Home");
        Assert.Contains("today", Said(page), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ZoomShowsAYearAndEnterOpensTheKit()
    {
        var page = Render<KitTimelinePage>();
        var panel = page.FindComponent<TimelinePanel>();
        await Press(panel, "ArrowDown", "-");
        Assert.Equal(366, Link.TimelineQueries[^1].Days);
        await Press(panel, "+", "+");
        Assert.Equal(31, Link.TimelineQueries[^1].Days);

        await Press(panel, "ArrowDown", "Enter");

        Assert.EndsWith("kits/kit-2", Services.GetRequiredService<NavigationManager>().Uri, StringComparison.Ordinal);
    }

    [Fact]
    public void AllStretchesOfAKindAreOnePathAndTheLegendNamesEveryKind()
    {
        var page = Render<KitTimelinePage>();

        var path = Assert.Single(page.FindAll(".days path.span.atsite"));
        Assert.Equal(KitListing.PageSize, path.GetAttribute("d")!.Count(letter => letter == 'z'));
        Assert.Equal(Enum.GetValues<KitSpanKind>().Length, page.FindAll(".legend li").Count);
        Assert.Equal(Enum.GetValues<KitSpanKind>().Order(), TimelinePaths.Order.Order());
    }

    [Fact]
    public void TheSameIsThereAsATable()
    {
        var page = Render<KitTimelinePage>();

        page.FindAll("button").Single(button => button.TextContent == "Show the same as a table").Click();

        var rows = page.FindAll(".spans tbody tr");
        Assert.Equal(2 * KitListing.PageSize, rows.Count);
        Assert.Contains("at a site, Linden Court", rows[0].TextContent, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(TimelineZoom.Month)]
    [InlineData(TimelineZoom.Quarter)]
    [InlineData(TimelineZoom.Year)]
    public void DaysAndPlacesInTheDrawingAreEachOthersInverse(TimelineZoom zoom)
    {
        var window = TimelineWindow.Around(Today, zoom);

        Assert.InRange(window.IndexOf(Today), 0, window.Days - 1);
        for (var day = 0; day < window.Days; day++)
        {
            Assert.Equal(window.From.AddDays(day), window.DayAt(window.X(day) + (window.DayWidth / 2)));
        }

        Assert.NotEmpty(window.Marks());
        Assert.All(new[] { -900, -1, 0, window.Days, 900 }, offset => Assert.InRange(window.Containing(window.From.AddDays(offset)).IndexOf(window.From.AddDays(offset)), 0, window.Days - 1));
    }

    private static string Said(IRenderedComponent<KitTimelinePage> page) => page.Find("#timeline-cell").TextContent;

    private static async Task Press(IRenderedComponent<TimelinePanel> panel, params string[] keys)
    {
        foreach (var key in keys)
        {
            await panel.InvokeAsync(() => panel.Instance.KeyPressed(key, shift: false));
        }
    }
}
