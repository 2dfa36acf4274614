using Bunit;
using TeleHearing.Clinician.Web.Kits;
using TeleHearing.Clinician.Web.Kits.Board;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests.Kits;

/// <summary>The kit board and today's list.</summary>
public sealed class KitBoardTests : ConsoleContext
{
    [Fact]
    public void ALineSaysWhereAKitStandsWhatStopsItAndWhatHappensNext()
    {
        Link.KitBoard = SampleBoard.Of(SampleBoard.Overdue(1), SampleBoard.Held(2), SampleBoard.Received(3));

        var page = Render<KitsPage>();

        var rows = page.FindAll("tr.kit-line");
        Assert.Contains("at the site", rows[0].TextContent, StringComparison.Ordinal);
        Assert.Contains("■", rows[0].TextContent, StringComparison.Ordinal);
        Assert.Contains("Chase the return", rows[0].TextContent, StringComparison.Ordinal);
        Assert.Contains("✕ battery suspect", rows[1].TextContent, StringComparison.Ordinal);
        Assert.Contains("Clean it", rows[2].TextContent, StringComparison.Ordinal);
        Assert.Contains("1 day late", rows[2].TextContent, StringComparison.Ordinal);
        Assert.Equal("kits/kit-1", rows[0].QuerySelector("a")!.GetAttribute("href"));
    }

    [Fact]
    public void TwoHundredKitsComeInPagesAndAreFoundByAWord()
    {
        Link.KitBoard = SampleBoard.Of([.. Enumerable.Range(1, 200).Select(SampleBoard.Shelf)]);

        var page = Render<KitsPage>();

        Assert.Equal(KitListing.PageSize, page.FindAll("tr.kit-line").Count);
        Assert.Contains("1 to 20 of 200", page.Markup, StringComparison.Ordinal);
        Assert.Equal(["kit-1", "kit-2", "kit-3"], page.FindAll("a[data-row]").Take(3).Select(link => link.TextContent));

        page.FindAll(".pager button")[1].Click();
        Assert.Equal("kit-21", page.Find("a[data-row]").TextContent);

        page.Find("#find-kit").Input("kit-137");
        Assert.Equal(["kit-137"], page.FindAll("a[data-row]").Select(link => link.TextContent));
        Assert.Contains("1 of 200 kits", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public void AHeadingSortsAndSaysSo()
    {
        Link.KitBoard = SampleBoard.Of(SampleBoard.Shelf(1), SampleBoard.Held(2), SampleBoard.Received(3));
        var page = Render<KitsPage>();

        page.FindAll("button.sort")[3].Click();

        Assert.Equal("ascending", page.FindAll("th[scope=col]")[3].GetAttribute("aria-sort"));
        Assert.Equal("kit-2", page.Find("a[data-row]").TextContent);
        page.FindAll("button.sort")[3].Click();
        Assert.Equal("descending", page.FindAll("th[scope=col]")[3].GetAttribute("aria-sort"));
    }

    [Fact]
    public void AChoiceShowsOnlyKitsThatMatchIt()
    {
        Link.KitBoard = SampleBoard.Of(SampleBoard.Shelf(1), SampleBoard.Held(2), SampleBoard.Received(3), SampleBoard.Overdue(4));
        var page = Render<KitsPage>();

        page.Find("select").Change(nameof(KitChoice.Held));
        Assert.Equal(["kit-2"], page.FindAll("a[data-row]").Select(link => link.TextContent));
        page.Find("select").Change(nameof(KitChoice.Due));
        Assert.Equal(["kit-3", "kit-4"], page.FindAll("a[data-row]").Select(link => link.TextContent));
    }

    [Fact]
    public void ALineThatChangedIsTakenOverAndTheOthersStay()
    {
        Link.KitBoard = SampleBoard.Of(SampleBoard.Shelf(1), SampleBoard.Received(2));
        var page = Render<KitsPage>();

        Link.Push(SampleBoard.Of(SampleBoard.Held(1)) with { HubTime = SampleViews.HubTime.AddSeconds(5) });

        page.WaitForAssertion(() => Assert.Contains("battery suspect", page.FindAll("tr.kit-line")[0].TextContent, StringComparison.Ordinal));
        Assert.Equal(2, page.FindAll("tr.kit-line").Count);
        Link.Push(SampleBoard.Of(SampleBoard.Shelf(1)) with { HubTime = SampleViews.HubTime.AddSeconds(1) });
        Assert.Contains("battery suspect", page.FindAll("tr.kit-line")[0].TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public void TodaysListGroupsWhatIsDueAndSaysWhyAndByWhen()
    {
        Link.KitBoard = SampleBoard.Of(SampleBoard.Shelf(1), SampleBoard.Received(2), SampleBoard.Overdue(3), SampleBoard.Packed(4), SampleBoard.Held(5));

        var page = Render<KitTodayPage>();

        Assert.Equal(["Chase 1", "Clean 1", $"In the next {TodayLines.Ahead} days 1"], page.FindAll("section.work h2").Select(heading => heading.TextContent.Trim()));
        var chase = page.Find("section.work li");
        Assert.Contains("kit-3", chase.TextContent, StringComparison.Ordinal);
        Assert.Contains("It was due back 3 days ago.", chase.TextContent, StringComparison.Ordinal);
        Assert.Contains("today", chase.TextContent, StringComparison.Ordinal);
        Assert.Equal("kits/kit-3?do=take-reminder-step", chase.QuerySelector("a.button")!.GetAttribute("href"));
    }

    [Fact]
    public async Task WhatNeedsNoWordIsDoneFromTheListAndWhatTheHubRefusesIsSaidThere()
    {
        Link.KitBoard = SampleBoard.Of(SampleBoard.Received(2), SampleBoard.Packed(4));
        Link.KitAnswer = envelope => new Receipt(envelope.CommandId, new Refusal(RefusalCodes.StageDoesNotAllow, "Pella began this already.", "Look at the page as it is now."), 0, null);
        var page = Render<KitTodayPage>();

        await page.Find("button[aria-label='Begin cleaning, kit-2']").ClickAsync(new());

        Assert.IsType<BeginCleaning>(Assert.Single(Link.AskedOfKits).Command);
        Assert.Contains("Pella began this already.", page.Find(".came").TextContent, StringComparison.Ordinal);

        await page.Find("button[aria-label='It is labelled, kit-4']").ClickAsync(new());
        Assert.Equal(SampleBoard.Loan, Assert.IsType<StageKit>(Link.AskedOfKits[^1].Command).LoanId);
    }

    [Fact]
    public void AnEmptyDaySaysThatNothingIsDue()
    {
        Link.KitBoard = SampleBoard.Of(SampleBoard.Shelf(1));

        Assert.Contains("Nothing is due today.", Render<KitTodayPage>().Markup, StringComparison.Ordinal);
    }
}
