using System.Threading.Channels;
using Bunit;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Clinician.Web.Fleet.Planning;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>Planning the fleet: the form, the search, its end, and booking what it proposes.</summary>
public sealed class FleetPlanTests : ConsoleContext
{
    // A wait ends as soon as what is waited for is there; a machine with much to do may take long.
    static FleetPlanTests() => DefaultWaitTimeout = TimeSpan.FromSeconds(60);

    public FleetPlanTests()
    {
        SignedIn = new Me("p-3", "Pella Nyström", [Roles.Coordinator]);
        Link.FleetReply = new WatchFleetReply(SampleFleet.Asked, null);
    }

    [Fact]
    public async Task AFieldThatCannotBeUsedSaysWhyAndNothingIsAsked()
    {
        var page = await Open();
        await Set(page, "from", SampleFleet.Today.AddDays(-3).ToString("yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture));
        await Set(page, "until", "");
        await Set(page, "seconds", "soon");
        await Set(page, "laterdays", "61");
        await page.Find("form").SubmitAsync();

        Assert.Contains("in the past", page.Find("#plan-from-fault").TextContent, StringComparison.Ordinal);
        Assert.Contains("Give a day", page.Find("#plan-until-fault").TextContent, StringComparison.Ordinal);
        Assert.Contains("1 to 600", page.Find("#plan-seconds-fault").TextContent, StringComparison.Ordinal);
        Assert.Contains("0 to 60", page.Find("#plan-laterdays-fault").TextContent, StringComparison.Ordinal);
        Assert.Empty(Link.PlansAsked);
    }

    [Fact]
    public async Task TheSearchTellsHowFarItIsInWordsAndStopKeepsTheBestSoFar()
    {
        var page = await Begin();
        var ask = Assert.Single(Link.PlansAsked);
        Assert.Equal((SampleFleet.Today, SampleFleet.Today.AddDays(91), 30, 0, false, true), (ask.From, ask.Until, ask.Seconds, ask.LaterDays, ask.MovePromised, ask.OneMoreKit));

        Say(SampleFleet.Better(1));
        page.WaitForAssertion(() => Assert.Contains("1 of 3 requests have a kit in the best plan so far.", page.Markup, StringComparison.Ordinal));
        Assert.Contains("At most 4 points of urgency more could still be placed.", page.Markup, StringComparison.Ordinal);
        Time.Advance(TimeSpan.FromSeconds(5));
        page.WaitForAssertion(() => Assert.Equal("5 of at most 30 seconds", page.Find("#plan-time").TextContent));

        await page.Find("button.hold").ClickAsync(new());
        Assert.Equal(ask.PlanId, Assert.Single(Link.PlansStopped));
        Say(SampleFleet.Last(stopped: true));
        Link.PlanSays.Writer.Complete();

        page.WaitForAssertion(() => Assert.Contains("The search was stopped; this is the best plan it had.", page.Markup, StringComparison.Ordinal));
        Assert.Contains("No plan places more than 25 % beyond this one", page.Markup, StringComparison.Ordinal);

        // The answer stands a moment before the search is known to be over: its stream ends after its last word.
        page.WaitForAssertion(() => Assert.Empty(page.FindAll("#plan-progress")));
    }

    [Fact]
    public async Task ThePlanIsShownByKitWithWhatHasNoneAndWhatOneMoreKitWouldChange()
    {
        var page = await Planned();

        Assert.Contains("2 of 3 requests get a kit.", page.Markup, StringComparison.Ordinal);
        Assert.Contains("Proven: no plan places more", page.Markup, StringComparison.Ordinal);
        Assert.Contains("Against first come, first served: 2 points of urgency more placed, 3 weighted days of waiting less.", page.Markup, StringComparison.Ordinal);
        Assert.Contains("kit-01: 1 proposed loan", page.Find(".plan-drawing desc").TextContent, StringComparison.Ordinal);
        Assert.NotEmpty(page.Find("path.proposed").GetAttribute("d")!);
        Assert.Equal($"loans/{SampleFleet.Third}", page.Find(".unplaced a").GetAttribute("href"));
        Assert.Contains("Every kit is away on these days.", page.Find(".unplaced").TextContent, StringComparison.Ordinal);
        Assert.Contains("kit-02: battery suspect", page.Find(".unplaced").TextContent, StringComparison.Ordinal);
        Assert.Contains("1 request more placed", page.Markup, StringComparison.Ordinal);
        Assert.Equal($"loans/{SampleFleet.First}", page.Find(".plan-table td a").GetAttribute("href"));
    }

    [Fact]
    public void ReasonsNameRequestsByTheirPlaceAndOnlyKitsThatHelpAreListed()
    {
        Assert.Equal(
            "kit kit-01: with the request of Mill Lane 4, from 10 March 2026.",
            PlanWords.Named($"kit kit-01: with {SampleFleet.First} from 10 March 2026.", id => id == SampleFleet.First ? "Mill Lane 4" : "another"));

        FleetPlanOneMore helps = new(["Circumaural"], 1, 2, 2, 0);
        Assert.Equal([helps], PlanWords.Helpful([new(["Insert"], 0, 0, 0, 0), helps, new([], 0, 0, 0, 0)]));
    }

    [Fact]
    public async Task APlanIsStillThereAfterAnotherPageOfTheTab()
    {
        await Planned();
        await DisposeComponentsAsync();

        var again = await Open();

        Assert.Contains("2 of 3 requests get a kit.", again.Markup, StringComparison.Ordinal);
        Assert.Contains("kit-02", again.Find("#plan-lab ~ ul").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task OneIsBookedByTheCommandOfTheLoansPageAndStandsAsPromisedOnceTheFleetSaysSo()
    {
        var page = await Planned();
        await page.Find(".plan-table button").ClickAsync(new());

        Assert.Equal(new PlaceLoan(SampleFleet.First, SampleFleet.KitOne), Assert.Single(Link.AskedOfFleet).Command);
        Assert.Contains("✓ Booked: kit-01 is promised to Mill Lane 4.", page.Markup, StringComparison.Ordinal);
        await page.InvokeAsync(() => Link.Push(SampleFleet.Asked with { Version = 6, Loans = [SampleFleet.Loan(SampleFleet.First, "Mill Lane 4", 30, SampleFleet.KitOne), SampleFleet.Loan(SampleFleet.Second, "Ferry Road 9", 44)] }));
        page.WaitForAssertion(() => Assert.Contains("✓ promised", page.FindAll(".plan-table tbody tr")[0].TextContent, StringComparison.Ordinal));
        Assert.Single(page.FindAll(".plan-table button"));
    }

    [Fact]
    public async Task BookingAllGoesOnPastARefusalWhichStandsInItsLine()
    {
        Link.FleetAnswer = envelope => new Receipt(envelope.CommandId, envelope.Command is PlaceLoan { KitId.Value: "kit-01" } ? new Refusal(RefusalCodes.Invalid, "kit-01 is held: battery suspect.", "Clear the hold.") : null, 1, null);
        var page = await Planned();
        await page.FindAll("button").Single(button => button.TextContent == "Book all 2").ClickAsync(new());

        Assert.Equal(2, Link.AskedOfFleet.Count);
        Assert.Equal("✕ kit-01 not booked for Mill Lane 4: kit-01 is held: battery suspect. Clear the hold.", Assert.Single(page.FindAll(".plan-table .refusal")).TextContent);
        Assert.Contains("1 of 2 booked.", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task WhatChangedMeanwhileIsNotBookedOver()
    {
        var page = await Planned();
        await page.InvokeAsync(() => Link.Push(SampleFleet.Asked with
        {
            Version = 6,
            Loans = [SampleFleet.Loan(SampleFleet.First, "Mill Lane 4", 30, SampleFleet.KitTwo), SampleFleet.Loan(SampleFleet.Second, "Ferry Road 9", 40)],
        }));

        page.WaitForAssertion(() => Assert.Contains("kit-02 is promised to it now", page.FindAll(".plan-table tbody tr")[0].TextContent, StringComparison.Ordinal));
        Assert.Contains("agree the later day with the site", page.FindAll(".plan-table tbody tr")[1].TextContent, StringComparison.Ordinal);
        Assert.Empty(page.FindAll(".plan-table button"));
    }

    [Fact]
    public async Task ARefusalAndABrokenLinkAreSaidAndTheLastPlanStays()
    {
        var page = await Planned();
        await Again(page);
        Say(SampleFleet.Refused);
        Link.PlanSays.Writer.Complete();
        page.WaitForAssertion(() => Assert.Contains("A plan is being made for Oda Lind.", page.Markup, StringComparison.Ordinal));
        Assert.Contains("The plan below is the last whole one.", page.Markup, StringComparison.Ordinal);
        Assert.Equal(2, page.FindAll(".plan-table tbody tr").Count);

        await Again(page);
        Say(SampleFleet.Better(1));
        Link.PlanSays.Writer.Complete(new IOException("gone"));
        page.WaitForAssertion(() => Assert.Contains("The link to the hub broke, and the search ended with it.", page.Markup, StringComparison.Ordinal));
        Assert.Equal(2, page.FindAll(".plan-table tbody tr").Count);
    }

    [Fact]
    public async Task LeavingThePageLeavesTheSearchAndTheLastPlanIsThereOnReturn()
    {
        var page = await Planned();
        await Again(page);
        Say(SampleFleet.Better(1));
        page.WaitForAssertion(() => Assert.Contains("1 of 3 requests have", page.Markup, StringComparison.Ordinal));

        await DisposeComponentsAsync();

        Assert.True(Link.PlanLeft);
        var back = Render<PlanPage>();
        back.WaitForAssertion(() => Assert.Null(Services.GetRequiredService<PlanRun>().Asked));
        Assert.Contains("2 of 3 requests get a kit.", back.Markup, StringComparison.Ordinal);
        Assert.DoesNotContain("No new plan was made", back.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task WithoutARequestItSaysWhatAPlanIsStillGoodFor()
    {
        Link.FleetReply = new WatchFleetReply(SampleFleet.View(), null);
        var page = await Begin();
        Assert.Contains("No request is waiting for a kit.", page.Markup, StringComparison.Ordinal);
        Say(new FleetPlanProgress(Guid.Empty, 0, 0, 0, new FleetPlanFigures(0, 0, 0, 0), new FleetPlanBound(0, 0, true), new FleetPlanView([], [], [], [], new FleetPlanFigures(0, 0, 0, 0), 0, 0, false), null));
        Link.PlanSays.Writer.Complete();

        page.WaitForAssertion(() => Assert.Contains("No request gets a kit in this plan.", page.Markup, StringComparison.Ordinal));
        Assert.Contains("First come, first served would do as well here.", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AClinicianIsToldWhoPlans()
    {
        SignedIn = new Me("p-1", "Maren Toft", [Roles.Clinician]);
        var page = await Open();

        Assert.Contains("Only a coordinator or an owner plans the fleet", page.Markup, StringComparison.Ordinal);
        Assert.Empty(page.FindAll("form"));
    }

    private async Task<IRenderedComponent<PlanPage>> Open()
    {
        await SignIn();
        return Render<PlanPage>();
    }

    private async Task<IRenderedComponent<PlanPage>> Begin()
    {
        var page = await Open();
        await page.Find("form").SubmitAsync();
        return page;
    }

    private async Task<IRenderedComponent<PlanPage>> Planned()
    {
        var page = await Begin();
        Say(SampleFleet.Last());
        Link.PlanSays.Writer.Complete();
        page.WaitForAssertion(() => Assert.NotEmpty(page.FindAll(".plan-table")));
        page.WaitForAssertion(() => Assert.Empty(page.FindAll("#plan-progress")));
        return page;
    }

    private async Task Again(IRenderedComponent<PlanPage> page)
    {
        Link.PlanSays = Channel.CreateUnbounded<FleetPlanProgress>();
        await page.Find("form").SubmitAsync();
    }

    private void Say(FleetPlanProgress progress) => Assert.True(Link.PlanSays.Writer.TryWrite(progress));

    private static Task Set(IRenderedComponent<PlanPage> page, string field, string text) => page.Find($"#plan-{field}").ChangeAsync(new() { Value = text });
}
