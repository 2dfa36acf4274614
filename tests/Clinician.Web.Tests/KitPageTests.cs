using Bunit;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Clinician.Web.Kits;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>The page of one kit.</summary>
public sealed class KitPageTests : ConsoleContext
{
    [Fact]
    public async Task AKitThatMayBeUsedSaysSoWithItsDays()
    {
        var page = await Open(SampleKits.Good());

        Assert.Contains("This kit may be used", page.Markup, StringComparison.Ordinal);
        Assert.Contains("✓ holds", page.Markup, StringComparison.Ordinal);
        Assert.Contains("60 days left", page.Markup, StringComparison.Ordinal);
        Assert.Contains("moved from place to place: 3 months", page.Markup, StringComparison.Ordinal);
        Assert.Contains("IEC 60318-1 ear simulator with flat plate", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task WhatForbidsAKitIsSaidBeforeEverythingElseAsAnAlert()
    {
        var page = await Open(SampleKits.Failed());

        var alert = page.Find("[role=alert]");
        Assert.Contains("Do not use this kit", alert.TextContent, StringComparison.Ordinal);
        Assert.Contains("nothing on the other side", alert.TextContent, StringComparison.Ordinal);
        Assert.DoesNotContain("This kit may be used", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task TheHistoryOfKnownEarsIsAChartWithTheSameAsATable()
    {
        var page = await Open(SampleKits.Good());

        var chart = page.Find(".known-ear-chart svg");
        Assert.Equal("img", chart.GetAttribute("role"));
        Assert.Contains("Largest shift", chart.QuerySelector("desc")!.TextContent, StringComparison.Ordinal);
        Assert.Equal(6, page.FindAll(".known-ear-table tbody tr").Count);

        await page.Find("#kit-known-ear ~ .shown select, .shown select").ChangeAsync(new() { Value = "2000" });

        Assert.Contains("Known-ear checks at 2000 Hz", page.Find(".known-ear-table caption").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AKnownEarCheckIsSentWithBothEars()
    {
        var page = await Open(SampleKits.Good());
        await Fill(page, "E1", "10");

        await Form(page, "known-ears").SubmitAsync();

        var sent = Assert.IsType<RecordKnownEar>(Assert.Single(Link.AskedOfKits).Command);
        Assert.Equal("E1", sent.PersonCode);
        Assert.Equal(8, sent.Levels.Count);
        Assert.All(sent.Levels, level => Assert.Equal(10, level.LevelDbHl));
        page.WaitForAssertion(() => Assert.Contains("Recorded.", page.Markup, StringComparison.Ordinal));
    }

    [Fact]
    public async Task AKnownEarCheckCanBeTakenFromASession()
    {
        var session = SessionId.New();
        var view = SampleKits.Good();
        var page = await Open(view with { KnownEar = view.KnownEar with { Sessions = [new KnownEarSession(session, "E1", view.HubTime), new KnownEarSession(SessionId.New(), "E2", view.HubTime)] } });
        await Fill(page, "E1", "10");
        var choice = page.FindAll("form select").Single(select => select.TextContent.Contains("from the session of", StringComparison.Ordinal));
        Assert.Equal(2, choice.QuerySelectorAll("option").Length);

        await choice.ChangeAsync(new() { Value = session.ToString() });
        Assert.DoesNotContain("Thresholds in dB HL", page.Markup, StringComparison.Ordinal);
        await Form(page, "known-ears").SubmitAsync();

        var sent = Assert.IsType<RecordKnownEar>(Assert.Single(Link.AskedOfKits).Command);
        Assert.Equal(session, sent.From);
        Assert.Empty(sent.Levels);
    }

    [Theory]
    [InlineData("Maren", "10", "never a name")]
    [InlineData("E1", "loud", "is not a number")]
    [InlineData("E1", "500", "must be a level")]
    [InlineData("E1", "", "No levels were given")]
    public async Task WhatCannotBeTrueIsSaidAndNotSent(string person, string level, string words)
    {
        var page = await Open(SampleKits.Good());
        await Fill(page, person, level);

        await Form(page, "known-ears").SubmitAsync();

        Assert.Empty(Link.AskedOfKits);
        Assert.Contains(words, page.Find(".answer.halt").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ARefusalStaysBesideTheFormWithWhatWasFilledIn()
    {
        Link.KitAnswer = envelope => new Receipt(envelope.CommandId, new Refusal(RefusalCodes.KnownEarUnknown, "E2 has no baseline with this kit.", "Record one first."), 1, null);
        var page = await Open(SampleKits.Good());
        await Fill(page, "E2", "5");

        await Form(page, "known-ears").SubmitAsync();

        page.WaitForAssertion(() => Assert.Contains("E2 has no baseline with this kit. Record one first.", page.Find(".answer.halt").TextContent, StringComparison.Ordinal));
        Assert.Equal("5", page.Find("input[aria-label='Left ear, 1000 Hz, dB HL']").GetAttribute("value"));
    }

    [Fact]
    public async Task ABrokenLinkSendsTheSameIdAgainAndThenSaysWhatIsNotKnown()
    {
        var tries = 0;
        Link.KitAnswer = _ => ++tries > 1 ? new Receipt(default, null, 1, null) : throw new IOException("broken");
        var page = await Open(SampleKits.Good());
        await Fill(page, "E1", "5");

        await Form(page, "known-ears").SubmitAsync();

        Assert.Equal(2, Link.AskedOfKits.Count);
        Assert.Single(Link.AskedOfKits.Select(envelope => envelope.CommandId).Distinct());
        Link.KitAnswer = _ => throw new IOException("broken");
        await Fill(page, "E1", "5");
        await Form(page, "known-ears").SubmitAsync();
        page.WaitForAssertion(() => Assert.Contains("it is not known whether this was recorded", page.Find(".answer.halt").TextContent, StringComparison.Ordinal));
    }

    [Fact]
    public async Task AFunctionCheckNeedsEveryAnswerAndANoteWhenSomethingWasNotSo()
    {
        var page = await Open(SampleKits.Good());
        var form = page.FindAll("form").Single(found => found.TextContent.Contains("Record the function check", StringComparison.Ordinal));
        await form.SubmitAsync();
        Assert.Empty(Link.AskedOfKits);
        Assert.Contains("5 of 5 lines still need an answer", page.Markup, StringComparison.Ordinal);

        foreach (var line in FunctionLines.All)
        {
            await page.FindAll($"input[name='line-{line.Code}']")[line.Code == "steady" ? 1 : 0].ChangeAsync(new() { Value = true });
        }

        await page.FindAll("form").Single(found => found.TextContent.Contains("Record the function check", StringComparison.Ordinal)).SubmitAsync();
        Assert.Empty(Link.AskedOfKits);

        await page.FindAll("textarea").Single(area => area.ParentElement!.TextContent.Contains("What was heard", StringComparison.Ordinal)).InputAsync(new() { Value = "crackles at the plug" });
        await page.FindAll("form").Single(found => found.TextContent.Contains("Record the function check", StringComparison.Ordinal)).SubmitAsync();

        var sent = Assert.IsType<RecordFunctionCheck>(Assert.Single(Link.AskedOfKits).Command);
        Assert.Equal("crackles at the plug", sent.Note);
        Assert.False(Assert.Single(sent.Answers, answer => !answer.Passed).Code != "steady");
    }

    [Fact]
    public async Task RightAndLeftAreLettersAndShapesAndWordsInTheFunctionCheck()
    {
        var page = await Open(SampleKits.Good());

        Assert.Contains(page.FindAll("legend"), legend => legend.TextContent.Contains("Right channel", StringComparison.Ordinal) && legend.TextContent.Contains("○ R", StringComparison.Ordinal));
        Assert.Contains(page.FindAll("legend"), legend => legend.TextContent.Contains("Left channel", StringComparison.Ordinal) && legend.TextContent.Contains("✕ L", StringComparison.Ordinal));
        Assert.Contains("marked R (red)", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ALoanThatOutlivesTheCalibrationIsSaidBesideIt()
    {
        var loan = new KitLoanView(LoanId.New(), new DateOnly(2031, 5, 20), new DateOnly(2031, 7, 14), new DateOnly(2031, 7, 17), "Otter Bridge school", InHand: false, Covered: false, 0, []);

        var page = await Open(SampleKits.Good() with { Loans = [loan] });

        Assert.Contains("The calibration does not hold to the end of this loan.", page.Find("[aria-labelledby=kit-loan]").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AClinicianMarksASessionOfTheListAndACoordinatorIsToldWhoDoes()
    {
        var page = await Open(SampleKits.Failed());
        Assert.Contains($"sessions/{SampleViews.Session}", page.Markup, StringComparison.Ordinal);
        await page.FindAll("textarea").Single(area => area.ParentElement!.TextContent.Contains("looking at it again", StringComparison.Ordinal)).InputAsync(new() { Value = "Repeated, unchanged." });
        await page.FindAll("form").Single(form => form.TextContent.Contains("Mark as looked at", StringComparison.Ordinal)).SubmitAsync();
        Assert.Equal(new ReviewSession(14, SampleViews.Session, "Repeated, unchanged."), Assert.Single(Link.AskedOfKits).Command);
    }

    [Fact]
    public async Task ACoordinatorSeesNoWayIntoASession()
    {
        SignedIn = new Me("p-3", "Pella Nyström", [Roles.Coordinator]);
        var page = await Open(SampleKits.Failed());

        Assert.DoesNotContain("sessions/", page.Markup, StringComparison.Ordinal);
        Assert.Contains("A clinician looks at sessions again.", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ANewerPictureIsShownAndAnOlderOneDropped()
    {
        var page = await Open(SampleKits.Good(12));

        Link.Push(SampleKits.Failed());
        page.WaitForAssertion(() => Assert.Contains("Do not use this kit", page.Markup, StringComparison.Ordinal));
        Link.Push(SampleKits.Good(11));
        Assert.Contains("Do not use this kit", page.Markup, StringComparison.Ordinal);
        Link.Push(SampleKits.Good(99) with { KitId = new KitId("kit-02") });
        Assert.Contains("Do not use this kit", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AKitThatIsNotThereSaysWhatToDo()
    {
        await SignIn();
        Link.KitReply = new WatchKitReply(null, new Refusal(RefusalCodes.KitUnknown, "There is no such kit.", "Go back to the list of kits."));

        var page = Render<KitPage>(parameters => parameters.Add(shown => shown.Id, "kit-99"));

        Assert.Contains("There is no such kit.", page.Markup, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(KitKeyStanding.Serves, "✓ The key serves")]
    [InlineData(KitKeyStanding.Retired, "○ The key was retired after its loan")]
    [InlineData(KitKeyStanding.TakenAway, "✕ The key was taken away")]
    [InlineData(KitKeyStanding.None, "○ Not enrolled yet")]
    public async Task WhatTheKeyIsWorthIsSaidInWordsAndOnlyWhoAnswersForKitsMayChangeIt(KitKeyStanding standing, string words)
    {
        var view = SampleKits.Good() with { Key = new KitKeyView(standing, SampleViews.HubTime, standing == KitKeyStanding.Serves ? "thumbprint" : null, null), Unwiped = 2 };
        var page = await Open(view);

        var panel = page.Find("section[aria-labelledby=kit-key]");
        Assert.Contains(words, panel.TextContent, StringComparison.Ordinal);
        Assert.Contains("Something of 2 sessions may be on it", panel.TextContent, StringComparison.Ordinal);
        Assert.Empty(panel.QuerySelectorAll("button"));
    }

    [Fact]
    public async Task ACodeIsShownOnceAndAKeyIsTakenAwayAtTheHub()
    {
        var asked = new List<string>();
        SignedIn = new Me("p-2", "Pella Nyström", [Roles.Coordinator]);
        Http = request =>
        {
            if (request.Method != HttpMethod.Post)
            {
                return null;
            }

            asked.Add(request.RequestUri!.AbsolutePath);
            return new HttpResponseMessage(System.Net.HttpStatusCode.OK)
            {
                Content = System.Net.Http.Json.JsonContent.Create(new EnrolmentCodeReply("ABCD-EFGH", SampleViews.HubTime.AddHours(24)), options: Protocol.Json),
            };
        };
        var page = await Open(SampleKits.Good() with { Key = new KitKeyView(KitKeyStanding.Serves, null, "thumbprint", null) });

        await page.FindAll("section[aria-labelledby=kit-key] button")[0].ClickAsync(new());
        Assert.Contains("ABCD-EFGH", page.Find("section[aria-labelledby=kit-key] [role=status]").TextContent, StringComparison.Ordinal);
        await page.FindAll("section[aria-labelledby=kit-key] button")[1].ClickAsync(new());

        Assert.Equal(["/api/kits/kit-01/enrolment-code", "/api/kits/kit-01/revoke"], asked);
        Assert.DoesNotContain("ABCD-EFGH", page.Markup, StringComparison.Ordinal);
    }

    private async Task<IRenderedComponent<KitPage>> Open(KitView view)
    {
        await SignIn();
        Link.KitReply = new WatchKitReply(view, null);
        return Render<KitPage>(parameters => parameters.Add(page => page.Id, view.KitId.Value));
    }

    private static AngleSharp.Dom.IElement Form(IRenderedComponent<KitPage> page, string marker) =>
        page.FindAll("form").Single(form => form.QuerySelector($"#{marker}") is not null);

    private static async Task Fill(IRenderedComponent<KitPage> page, string person, string level)
    {
        await page.Find("input[list=known-ears]").InputAsync(new() { Value = person });
        foreach (var ear in new[] { "Right ear", "Left ear" })
        {
            foreach (var hertz in KnownEarRules.NeededHz)
            {
                await page.Find($"input[aria-label='{ear}, {hertz} Hz, dB HL']").InputAsync(new() { Value = level });
            }
        }
    }
}
