using AngleSharp.Dom;
using Bunit;
using Microsoft.AspNetCore.Components;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Clinician.Web.Kits;
using TeleHearing.Contracts;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Clinician.Web.Tests.Kits;

/// <summary>What a coordinator does with a kit on its page, from the shelf to a person and back.</summary>
public sealed class JourneyTests : ConsoleContext
{
    private static readonly LoanId _loan = LoanId.New();

    private static readonly KitItem[] _items =
    [
        new("unit", "audiometer unit", 1, 1) { Serial = "FH-UNIT-07" },
        new("tips", "ear light tips", 20, 10) { SingleUse = true, Contact = ItemContact.Canal },
    ];

    [Fact]
    public async Task PackingCountsEveryLineAgainstTheList()
    {
        var page = await Open(At(KitStage.Reserved, "pack-kit") with { Loans = [Loan(inHand: false)] });
        var form = Form(page, "pack-kit");
        Assert.Contains("2 of 2 lines still need a count.", form.TextContent, StringComparison.Ordinal);
        Assert.Contains("swollen", form.TextContent, StringComparison.Ordinal);
        await form.SubmitAsync();
        Assert.Empty(Link.AskedOfKits);

        await Form(page, "pack-kit").QuerySelector("input[aria-label='Counted: audiometer unit']")!.InputAsync(new() { Value = "1" });
        await Form(page, "pack-kit").QuerySelector("input[aria-label='Counted: ear light tips']")!.InputAsync(new() { Value = "4" });
        Assert.Contains("▲ too few", Form(page, "pack-kit").TextContent, StringComparison.Ordinal);
        await Form(page, "pack-kit").SubmitAsync();

        var sent = Assert.IsType<PackKit>(Assert.Single(Link.AskedOfKits).Command);
        Assert.Equal(_loan, sent.LoanId);
        Assert.Equal([new ItemCount("unit", 1), new ItemCount("tips", 4)], sent.Counts);
        Assert.Contains("The kit is packed.", page.Find("[aria-labelledby=kit-stand] .said").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AKitIsHandedOverWithItsReferenceAndWhetherItWasScanned()
    {
        var page = await Open(At(KitStage.AwaitingPickup, "send-kit") with { Loans = [Loan(inHand: true)] });
        await Form(page, "send-kit").QuerySelector("input[maxlength='200']")!.InputAsync(new() { Value = " PX 41 " });
        await Form(page, "send-kit").QuerySelector("input[type=checkbox]")!.ChangeAsync(new() { Value = true });

        await Form(page, "send-kit").SubmitAsync();

        var sent = Assert.IsType<SendKit>(Assert.Single(Link.AskedOfKits).Command);
        Assert.Equal(("PX 41", EntryMeans.Scanned, SampleBoard.Today), (sent.Tracking, sent.Means, sent.On));
    }

    [Fact]
    public async Task ACleaningIsSignedLineByLine()
    {
        var page = await Open(Cleaning());
        Assert.Contains(TurnaroundLines.Caution, page.Markup, StringComparison.Ordinal);
        foreach (var line in TurnaroundLines.Of(KitStage.Cleaning, _items))
        {
            await page.FindAll($"input[name='turn-{line.Code}']")[0].ChangeAsync(new() { Value = "on" });
        }

        await page.Find("input[aria-label='Discarded: ear light tips']").InputAsync(new() { Value = "6" });
        await Form(page, "sign-turnaround").SubmitAsync();

        var signed = Assert.IsType<SignTurnaround>(Assert.Single(Link.AskedOfKits).Command);
        Assert.Equal(KitStage.Cleaning, signed.Step);
        Assert.All(signed.Answers, answer => Assert.True(answer.Passed));
        Assert.Equal([new ItemCount("tips", 6)], signed.Counts);
        Assert.Null(signed.SkippedBecause);
    }

    [Fact]
    public async Task AStepIsSkippedOnlyWithAReason()
    {
        var page = await Open(Cleaning());
        await Form(page, "sign-turnaround").QuerySelectorAll("input[type=checkbox]")[0].ChangeAsync(new() { Value = true });
        await Form(page, "sign-turnaround").SubmitAsync();
        Assert.Contains("Say why the step is skipped.", Form(page, "sign-turnaround").TextContent, StringComparison.Ordinal);
        Assert.Empty(Link.AskedOfKits);

        await Form(page, "sign-turnaround").QuerySelectorAll("textarea")[0].InputAsync(new() { Value = "The parcel came back unopened." });
        await Form(page, "sign-turnaround").SubmitAsync();

        var signed = Assert.IsType<SignTurnaround>(Assert.Single(Link.AskedOfKits).Command);
        Assert.Equal("The parcel came back unopened.", signed.SkippedBecause);
        Assert.Empty(signed.Answers);
    }

    [Fact]
    public async Task ReceivingSaysTheCautionsFirstAndMayLeaveTheCountForLater()
    {
        var page = await Open(At(KitStage.InTransitBack, "receive-kit") with { Loans = [Loan(inHand: true)] });
        Assert.Contains("Open it with gloves", Form(page, "receive-kit").TextContent, StringComparison.Ordinal);

        await Form(page, "receive-kit").SubmitAsync();

        Assert.Empty(Assert.IsType<ReceiveKit>(Assert.Single(Link.AskedOfKits).Command).Counts);
    }

    [Fact]
    public async Task WhatTwoReceiveAtOnceIsRefusedInWordsAndStaysInTheForm()
    {
        Link.KitAnswer = envelope => new Receipt(envelope.CommandId, new Refusal(RefusalCodes.StageDoesNotAllow, "Ivo Lindqvist received it at 09:12.", "Look at the page as it is now."), 0, null);
        var page = await Open(At(KitStage.InTransitBack, "receive-kit") with { Loans = [Loan(inHand: true)] });

        await Form(page, "receive-kit").SubmitAsync();

        Assert.Contains("Ivo Lindqvist received it at 09:12.", Form(page, "receive-kit").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AKitIsGivenUpOnlyByWhoIsSure()
    {
        var page = await Open(At(KitStage.MissingParcel, "report-kit-gone") with { Loans = [Loan(inHand: true)] });
        await Form(page, "report-kit-gone").QuerySelector("textarea")!.InputAsync(new() { Value = "No trace for 30 days." });
        await Form(page, "report-kit-gone").SubmitAsync();
        Assert.Empty(Link.AskedOfKits);

        await Form(page, "report-kit-gone").QuerySelectorAll("input[type=checkbox]")[1].ChangeAsync(new() { Value = true });
        await Form(page, "report-kit-gone").SubmitAsync();

        var gone = Assert.IsType<ReportKitGone>(Assert.Single(Link.AskedOfKits).Command);
        Assert.False(gone.Stolen);
        Assert.False(gone.MayHoldData);
    }

    [Fact]
    public async Task WhatCannotBeDoneIsListedWithTheReasonWhyNot()
    {
        var view = At(KitStage.CheckedInAtSite, "pack-up-kit") with { Loans = [Loan(inHand: true)] };
        var page = await Open(view with { Moves = [.. view.Moves, new Move("retire-kit", false, "The kit is away with a loan.")] });

        Assert.Empty(page.FindAll("#do-retire-kit"));
        var refused = page.Find(".refused");
        Assert.Contains("Take it out of service", refused.TextContent, StringComparison.Ordinal);
        Assert.Contains("The kit is away with a loan.", refused.TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ACorrectionStandsBesideItsEntry()
    {
        var loan = Loan(inHand: true) with
        {
            Steps = [new LoanStep(4, SampleViews.HubTime.AddDays(-3), "packed", "Pella Nyström"), new LoanStep(5, SampleViews.HubTime.AddDays(-3), "sent-out", "Pella Nyström")],
            Carrier = [new CarrierEntry(6, KitLeg.Out, CarrierStatus.DeliveryFailed, CarrierReason.NobodyThere, "Otter Bridge", SampleViews.HubTime.AddDays(-1), EntryMeans.Scanned, new ParcelReadings(-4, 31, 6.5))],
        };
        var page = await Open(At(KitStage.InTransitOut) with
        {
            Loans = [loan],
            Corrections = [new EntryCorrection(5, SampleViews.HubTime, "Pella Nyström", true, false, "The carrier never came.")],
        });

        var rows = page.FindAll("[aria-labelledby=kit-log] tbody tr");
        Assert.Equal("5", rows[1].QuerySelector("th")!.TextContent);
        Assert.Contains("Did not happen: The carrier never came.", rows[1].TextContent, StringComparison.Ordinal);
        Assert.Contains("taken-back", rows[1].ClassName, StringComparison.Ordinal);
        Assert.Contains("delivery was tried and failed", rows[2].TextContent, StringComparison.Ordinal);
        Assert.Contains("nobody was there", rows[2].QuerySelectorAll("td")[2].TextContent, StringComparison.Ordinal);
        Assert.Contains("carrier, scanned", rows[2].TextContent, StringComparison.Ordinal);
        Assert.Contains("from -4 °C, to 31 °C, shock up to 6.5", rows[2].TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ARemindersStepsAreThoseOfTheClinicAndTheNextOneIsChosen()
    {
        LadderStep[] ladder = [new("due-today", LadderAction.Reminder, 0, "due-today"), new("ring", LadderAction.Call, 4, "ring"), new("given-up", LadderAction.GiveUp, 60, "given-up")];
        var loan = Loan(inHand: true) with { Reminders = [new ReminderEntry(SampleViews.HubTime, "due-today", null, "Pella Nyström")] };
        var page = await Open(At(KitStage.CheckedInAtSite, "take-reminder-step") with { Loans = [loan], Ladder = ladder });
        var form = page.FindAll("[aria-labelledby=kit-loan] form").Single(found => found.TextContent.Contains("Record the reminder", StringComparison.Ordinal));

        Assert.Equal(["due-today", "ring"], form.QuerySelectorAll("option").Select(option => option.GetAttribute("value")));
        await form.SubmitAsync();

        Assert.Equal(new TakeReminderStep(_loan, "ring", null), Assert.Single(Link.AskedOfKits).Command);
    }

    [Fact]
    public async Task TheCleaningBetweenTwoPersonsIsSignedWhereTheKitStands()
    {
        var page = await Open(At(KitStage.CheckedInAtSite, "sign-cleaning") with { Loans = [Loan(inHand: true)] });
        var lines = TurnaroundLines.Of(KitStage.Cleaning, _items);
        await Form(page, "sign-cleaning").SubmitAsync();
        Assert.Empty(Link.AskedOfKits);
        Assert.Contains($"{lines.Count} of {lines.Count} lines are not done yet.", Form(page, "sign-cleaning").TextContent, StringComparison.Ordinal);

        for (var line = 0; line < lines.Count; line++)
        {
            await Form(page, "sign-cleaning").QuerySelectorAll("input[type=checkbox]")[line].ChangeAsync(new() { Value = true });
        }

        await page.Find("input[aria-label='Discarded: ear light tips']").InputAsync(new() { Value = "2" });
        await Form(page, "sign-cleaning").SubmitAsync();

        var signed = Assert.IsType<SignTurnaround>(Assert.Single(Link.AskedOfKits).Command);
        Assert.Equal((KitStage.Cleaning, null), (signed.Step, signed.SkippedBecause));
        Assert.Equal(lines.Select(line => line.Code), signed.Answers.Where(answer => answer.Passed).Select(answer => answer.Code));
        Assert.Equal([new ItemCount("tips", 2)], signed.Counts);
    }

    [Fact]
    public async Task AfterAnExtensionTheFirstStepIsTheNextOneAgain()
    {
        LadderStep[] ladder = [new("due-today", LadderAction.Reminder, 0, "due-today"), new("ring", LadderAction.Call, 4, "ring")];
        var loan = Loan(inHand: true) with
        {
            Reminders = [new ReminderEntry(SampleViews.HubTime, "due-today", null, "Pella Nyström")],
            Steps = [new LoanStep(9, SampleViews.HubTime.AddMinutes(5), "extended", "Pella Nyström")],
        };
        var page = await Open(At(KitStage.CheckedInAtSite, "take-reminder-step") with { Loans = [loan], Ladder = ladder });

        await page.FindAll("[aria-labelledby=kit-loan] form").Single(found => found.TextContent.Contains("Record the reminder", StringComparison.Ordinal)).SubmitAsync();

        Assert.Equal(new TakeReminderStep(_loan, "due-today", null), Assert.Single(Link.AskedOfKits).Command);
    }

    [Theory]
    [InlineData(Roles.Clinician, false)]
    [InlineData(Roles.Coordinator, true)]
    public async Task WhatIsForThoseWhoAnswerForTheKitsIsOfferedToThemAlone(string role, bool offered)
    {
        SignedIn = new("p-1", "Maren Toft", [role]);
        var view = At(KitStage.Reserved, "retire-kit", "lift-hold", "extend-loan", "call-off-loan") with { Loans = [Loan(inHand: false)], HoldList = [new KitHold(KitHoldKind.SafetyNotice, "Safety notice", true, true)] };
        var page = await Open(view);

        Assert.Equal(offered ? 1 : 0, page.FindAll("#do-retire-kit").Count);
        Assert.Equal(offered ? 1 : 0, page.FindAll("#do-lift-hold").Count);
        var loans = page.Find("[aria-labelledby=kit-loan]").TextContent;
        Assert.Equal(offered, loans.Contains("Extend the loan", StringComparison.Ordinal));
        Assert.Equal(offered, loans.Contains("Call the loan off", StringComparison.Ordinal));
        Assert.Equal(offered ? 0 : 1, page.FindAll(".refused").Count);
    }

    [Fact]
    public async Task TheFormTheListOfTheDayAsksForIsOpen()
    {
        await SignIn();
        Link.KitReply = new WatchKitReply(At(KitStage.Available, "send-to-laboratory", "place-hold"), null);
        Services.GetRequiredService<NavigationManager>().NavigateTo("kits/kit-01?do=send-to-laboratory");

        var page = Render<KitPage>(parameters => parameters.Add(shown => shown.Id, "kit-01"));

        Assert.True(page.Find("#do-send-to-laboratory").HasAttribute("open"));
        Assert.False(page.Find("#do-place-hold").HasAttribute("open"));
    }

    [Fact]
    public async Task AnEntryThatWasTakenBackStaysInTheLogStruckThroughWithItsReading()
    {
        var loan = Loan(inHand: true) with
        {
            Steps = [new LoanStep(4, SampleViews.HubTime.AddDays(-3), "packed", "Pella Nyström")],
            StepsTakenBack = [new LoanStep(6, SampleViews.HubTime.AddDays(-1), "delivered", "Pella Nyström")],
            CarrierTakenBack = [new CarrierEntry(6, KitLeg.Out, CarrierStatus.Delivered, CarrierReason.None, "urn:uuid:0196f3a0-0000-7000-8000-0000000000a3", SampleViews.HubTime.AddDays(-1), EntryMeans.Typed, new ParcelReadings(null, 61, null))],
        };
        var page = await Open(At(KitStage.InTransitOut) with { Loans = [loan], Corrections = [new EntryCorrection(6, SampleViews.HubTime, "Pella Nyström", true, true, "Another parcel.")] });

        var rows = page.FindAll("[aria-labelledby=kit-log] tbody tr");
        Assert.Equal(2, rows.Count);
        Assert.Contains("taken-back", rows[1].ClassName, StringComparison.Ordinal);
        Assert.Contains("to 61 °C", rows[1].TextContent, StringComparison.Ordinal);
        Assert.Contains("Did not happen: Another parcel.", rows[1].TextContent, StringComparison.Ordinal);
        var where = rows[1].QuerySelectorAll("td")[3];
        Assert.StartsWith("a place outside the clinic", where.TextContent, StringComparison.Ordinal);
        Assert.Equal("urn:uuid:0196f3a0-0000-7000-8000-0000000000a3", where.QuerySelector("small")!.TextContent);
    }

    [Theory]
    [InlineData(KitStage.Stolen, "Stolen since")]
    [InlineData(KitStage.Lost, "Lost since")]
    public async Task AKitThatIsGoneSaysSoFirst(KitStage stage, string words)
    {
        var page = await Open(At(stage) with { IncidentOpen = true, Turnaround = [Signed(KitStage.Cleaning)] });

        var first = page.Find(".kit-page .banner");
        Assert.Contains(words, first.TextContent, StringComparison.Ordinal);
        Assert.Contains("incident open; its key is taken away", first.TextContent, StringComparison.Ordinal);
        Assert.DoesNotContain("This kit may be used", page.Markup, StringComparison.Ordinal);
        Assert.DoesNotContain("✓ Cleaning signed", page.Markup, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(KitStage.InTransitBack, 0)]
    [InlineData(KitStage.Repair, 0)]
    [InlineData(KitStage.Inspection, 1)]
    [InlineData(KitStage.FunctionCheck, 2)]
    [InlineData(KitStage.Available, 2)]
    public async Task OnlyTheStepsOfThisTurnaroundAreTicked(KitStage stage, int ticks)
    {
        var page = await Open(At(stage) with { FreeFrom = SampleBoard.Today.AddDays(3), Turnaround = [Signed(KitStage.Cleaning), Signed(KitStage.Inspection)] });

        Assert.Equal(ticks, page.FindAll("[aria-labelledby=kit-stand] li").Count(line => line.TextContent.StartsWith('✓')));
        Assert.Equal(stage != KitStage.Repair, page.Markup.Contains("Free again from", StringComparison.Ordinal));
    }

    [Fact]
    public async Task ASuccessGoesAwayWhenSomethingIsRefusedAfterIt()
    {
        var page = await Open(At(KitStage.Available, "place-hold", "send-to-repair"));
        await Form(page, "place-hold").QuerySelector("textarea")!.InputAsync(new() { Value = "it is hot" });
        await Form(page, "place-hold").SubmitAsync();
        Assert.Single(page.FindAll(".said"));

        await Form(page, "send-to-repair").SubmitAsync();

        Assert.Empty(page.FindAll(".said"));
        Assert.Contains("Not recorded.", Form(page, "send-to-repair").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ASuccessGoesAwayWhenTheKitIsMovedByAnother()
    {
        Link.KitAnswer = envelope => new Receipt(envelope.CommandId, null, 13, null);
        var view = Cleaning();
        var page = await Open(view);
        await Skip(page);
        var inspection = At(KitStage.Inspection, "sign-turnaround") with { Version = 13 };
        await page.InvokeAsync(() => Link.Push(inspection));
        Assert.Contains("Cleaning is skipped, with your reason.", page.Find(".said").TextContent, StringComparison.Ordinal);

        await page.InvokeAsync(() => Link.Push(inspection with { Version = 14, Stage = KitStage.Repair }));

        Assert.Empty(page.FindAll(".said"));
    }

    [Fact]
    public async Task ASkipIsCalledASkip()
    {
        var page = await Open(Cleaning());
        await Skip(page);

        Assert.Contains("Cleaning is skipped, with your reason.", page.Find(".said").TextContent, StringComparison.Ordinal);
        Assert.DoesNotContain("is signed", page.Find(".said").TextContent, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("", "Say how many were discarded, 0 when none: ear light tips.")]
    [InlineData("50", "More cannot be discarded than was in the case: ear light tips (16).")]
    [InlineData("16", null)]
    [InlineData("0", null)]
    public async Task DiscardedThingsAreCountedAndNoMoreThanThereWere(string typed, string? lacking)
    {
        var page = await Open(Cleaning() with { InCase = [new ItemCount("tips", 16)] });
        foreach (var line in TurnaroundLines.Of(KitStage.Cleaning, _items))
        {
            await page.FindAll($"input[name='turn-{line.Code}']")[0].ChangeAsync(new() { Value = "on" });
        }

        await page.Find("input[aria-label='Discarded: ear light tips']").InputAsync(new() { Value = typed });
        await Form(page, "sign-turnaround").SubmitAsync();

        Assert.Equal(lacking is null ? 1 : 0, Link.AskedOfKits.Count);
        Assert.Contains(lacking ?? string.Empty, Form(page, "sign-turnaround").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task MoreThanBelongIsAskedAboutBeforeItIsKept()
    {
        var page = await Open(At(KitStage.Available, "count-kit"));
        await Form(page, "count-kit").QuerySelector("input[aria-label='Counted: ear light tips']")!.InputAsync(new() { Value = "200" });
        await Form(page, "count-kit").SubmitAsync();
        Assert.Empty(Link.AskedOfKits);
        Assert.Contains("More than belong: ear light tips.", Form(page, "count-kit").TextContent, StringComparison.Ordinal);

        await Form(page, "count-kit").QuerySelector("input.sure")!.ChangeAsync(new() { Value = true });
        await Form(page, "count-kit").SubmitAsync();

        Assert.Equal([new ItemCount("tips", 200)], Assert.IsType<CountKit>(Assert.Single(Link.AskedOfKits).Command).Counts);
    }

    [Fact]
    public async Task AKitWithABatteryInDoubtGoesToTheLaboratoryOnlyInPerson()
    {
        var page = await Open(At(KitStage.Available, "send-to-laboratory") with { HoldList = [new KitHold(KitHoldKind.BatterySuspect, "Battery in doubt: it is hot (held by Pella Nyström)", true, true)] });
        Assert.Contains("Not by parcel. Battery in doubt: it is hot", Form(page, "send-to-laboratory").TextContent, StringComparison.Ordinal);
        await Form(page, "send-to-laboratory").QuerySelector("input[maxlength='500']")!.InputAsync(new() { Value = "Alder Lane Acoustics" });
        await Form(page, "send-to-laboratory").QuerySelector("input[type=date]")!.ChangeAsync(new() { Value = "2030-01-02" });
        await Form(page, "send-to-laboratory").SubmitAsync();
        Assert.Empty(Link.AskedOfKits);
        Assert.Contains("Lift the hold after an inspection", Form(page, "send-to-laboratory").TextContent, StringComparison.Ordinal);

        await Form(page, "send-to-laboratory").QuerySelector("input[type=checkbox]")!.ChangeAsync(new() { Value = true });
        await Form(page, "send-to-laboratory").SubmitAsync();

        Assert.True(Assert.IsType<SendToLaboratory>(Assert.Single(Link.AskedOfKits).Command).InPerson);
    }

    private static KitView At(KitStage stage, params string[] moves) => SampleKits.Good() with
    {
        Stage = stage,
        StageSince = SampleViews.HubTime.AddDays(-1),
        Items = _items,
        Checklist = TurnaroundLines.Of(stage, _items),
        Moves = [.. moves.Append("correct-entry").Select(move => new Move(move, true, null))],
    };

    private static TurnaroundEntry Signed(KitStage step) => new(step, SampleViews.HubTime.AddDays(-30), "Pella Nyström", [], [], null, null);

    private static async Task Skip(IRenderedComponent<KitPage> page)
    {
        await Form(page, "sign-turnaround").QuerySelectorAll("input[type=checkbox]")[0].ChangeAsync(new() { Value = true });
        Assert.Contains("Record the skip", Form(page, "sign-turnaround").TextContent, StringComparison.Ordinal);
        await Form(page, "sign-turnaround").QuerySelectorAll("textarea")[0].InputAsync(new() { Value = "It came back unopened." });
        await Form(page, "sign-turnaround").SubmitAsync();
    }

    private static KitView Cleaning() => At(KitStage.Cleaning, "sign-turnaround");

    private static KitLoanView Loan(bool inHand) =>
        new(_loan, SampleBoard.Today.AddDays(1), SampleBoard.Today.AddDays(13), SampleBoard.Today.AddDays(16), "Otter Bridge school", inHand, true, 0, []);

    private async Task<IRenderedComponent<KitPage>> Open(KitView view)
    {
        await SignIn();
        Link.KitReply = new WatchKitReply(view, null);
        return Render<KitPage>(parameters => parameters.Add(page => page.Id, view.KitId.Value));
    }

    private static IElement Form(IRenderedComponent<KitPage> page, string move) => page.Find($"#do-{move} form");
}
