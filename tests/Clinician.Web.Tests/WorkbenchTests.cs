using Bunit;
using TeleHearing.Audiology;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

public sealed class WorkbenchTests : ConsoleContext
{
    public static TheoryData<SessionStage> Stages() => [.. Enum.GetValues<SessionStage>()];

    [Theory]
    [MemberData(nameof(Stages))]
    public async Task EveryStageShowsTheStageThePersonAndWhatIsAtHand(SessionStage stage)
    {
        var view = SampleViews.At(stage);
        var page = await Open(view);

        Assert.Contains("Edda Sorrel", page.Words(), StringComparison.Ordinal);
        Assert.Single(page.FindAll("h1"));
        var over = stage is SessionStage.Closed or SessionStage.Aborted or SessionStage.Converted;
        Assert.Equal(!over, page.HasButton("Cut the sound"));
        Assert.Equal(!over, page.HasButton(stage is SessionStage.Paused or SessionStage.Stopped ? "Resume" : "Hold"));
        foreach (var need in view.Needs)
        {
            Assert.Contains(need.Text, Reading.Text(page.Find(".needs")), StringComparison.Ordinal);
        }
    }

    [Theory]
    [MemberData(nameof(Stages))]
    public async Task EveryButtonAndFieldHasAName(SessionStage stage)
    {
        var page = await Open(SampleViews.At(stage));

        Assert.All(page.FindAll("button"), button => Assert.NotEmpty(Reading.Text(button)));
        Assert.All(
            page.FindAll("input, select, textarea"),
            field => Assert.True(field.HasAttribute("aria-label") || (field.Closest("label") is { } label && Reading.Text(label).Length > 0), field.OuterHtml));
        Assert.All(page.FindAll("[aria-describedby]"), element => Assert.True(element.Id == "next-why" || page.FindAll($"#{element.GetAttribute("aria-describedby")}").Count <= 1));
    }

    [Fact]
    public async Task TheRailSaysInWordsWhatIsDoneAndWhatIsToCome()
    {
        var page = await Open(SampleViews.At(SessionStage.Consent));

        var rail = page.FindAll(".rail li").Select(item => Reading.Text(item)).ToList();
        Assert.Equal("✓ Who and where done", rail[2]);
        Assert.Equal("▶ Consent here now", rail[3]);
        Assert.Equal("○ Kit check to come", rail[4]);
        Assert.Equal("step", page.FindAll(".rail li")[3].GetAttribute("aria-current"));
    }

    [Fact]
    public async Task WhatCannotBeDoneSaysWhyAndSendsNothing()
    {
        var page = await Open(SampleViews.At(SessionStage.Consent).Without("advance", "Consent to the test is missing."));

        Assert.Contains("Consent to the test is missing.", Reading.Text(page.Find("#next-why")), StringComparison.Ordinal);
        Assert.Equal("true", page.Button("Next: Kit check").GetAttribute("aria-disabled"));
        await page.Button("Next: Kit check").ClickAsync(new());

        Assert.Empty(Link.Asked);
        Assert.Contains("Consent to the test is missing.", Reading.Text(page.Find(".notices")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ARefusalIsShownWithItsRemedyAndTheFormKeepsItsText()
    {
        var page = await Open(SampleViews.At(SessionStage.Handoff));
        Link.Answer = envelope => new Receipt(envelope.CommandId, new Refusal(RefusalCodes.Invalid, "The next step is empty.", "Say what happens next."), 40, null);

        page.Field("The one thing to remember").Input("Wear both aids every day.");
        await page.Button("Record the handoff").ClickAsync(new());

        var notice = Reading.Text(page.Find(".notices"));
        Assert.Contains("Handoff: not done. The next step is empty. Say what happens next.", notice, StringComparison.Ordinal);
        Assert.Equal("Wear both aids every day.", page.Field("The one thing to remember").GetAttribute("value"));
    }

    [Fact]
    public async Task ANewPictureDoesNotWipeWhatIsBeingTyped()
    {
        var page = await Open(SampleViews.At(SessionStage.Identity, version: 5));
        page.Field("Exact place now").Input("Birch Lane 4");

        Link.Push(SampleViews.At(SessionStage.Identity, version: 6) with { HelpWanted = true });

        await page.WaitForAssertionAsync(() => Assert.Contains("called for help", page.Words(), StringComparison.Ordinal));
        Assert.Equal("Birch Lane 4", page.Field("Exact place now").GetAttribute("value"));
    }

    [Theory]
    [InlineData(SessionStage.Paused, "On hold", "The kit is silent")]
    [InlineData(SessionStage.LinkLost, "The kit is out of reach", "call 555 0142")]
    [InlineData(SessionStage.Stopped, "Stopped at the site", "speak with the person first")]
    [InlineData(SessionStage.Aborted, "Ended early", "The person felt unwell")]
    [InlineData(SessionStage.Converted, "Turned into a visit or a referral", "both ears are blocked by wax")]
    [InlineData(SessionStage.Closed, "Closed", "read-only")]
    public async Task AnExceptionalStateSaysWhatIsSafeAndWhatToDo(SessionStage stage, string title, string words)
    {
        var page = await Open(SampleViews.At(stage));

        var banner = Reading.Text(page.Find(".banner"));
        Assert.StartsWith(title, banner, StringComparison.Ordinal);
        Assert.Contains(words, banner, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ADamagedRecordNamesTheEventItBreaksAt()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing) with { Integrity = new IntegrityView(false, 31) });

        Assert.Contains("from event 31 on", Reading.Text(page.Find(".banner.halt")), StringComparison.Ordinal);
        Assert.Contains("read-only", Reading.Text(page.Find(".banner.halt")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AfterAStopResumeAsksForANote()
    {
        var page = await Open(SampleViews.At(SessionStage.Stopped));

        await page.Button("Resume").ClickAsync(new());
        Assert.True(page.Find("dialog button[type=submit]").HasAttribute("disabled"));
        page.Find("dialog textarea").Input("The cushion pressed; moved it.");
        await page.Find("dialog form").SubmitAsync();

        Assert.Equal(new Resume("The cushion pressed; moved it."), Assert.Single(Link.Asked).Command);
        Assert.Empty(page.FindAll("dialog"));
    }

    [Fact]
    public async Task ARefusedDialogStaysOpenWithItsText()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));
        Link.Answer = envelope => new Receipt(envelope.CommandId, new Refusal(RefusalCodes.StaleView, "The session changed.", null), 40, null);

        await page.Button("End early").ClickAsync(new());
        page.Find("dialog textarea").Input("Unwell");
        await page.Find("dialog form").SubmitAsync();

        Assert.Equal("Unwell", page.Find("dialog textarea").GetAttribute("value"));
        Assert.Contains("The session changed.", Reading.Text(page.Find("dialog .notices")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task NewsIsSpokenInALiveRegion()
    {
        var before = SampleViews.At(SessionStage.Testing, version: 40);
        var page = await Open(before);

        Link.Push(before with { Version = 41, Thresholds = [.. before.Thresholds, SampleViews.Threshold(Ear.Left, 250, new Audiology.PureTone.ThresholdOutcome.Established(15))] });

        await page.WaitForAssertionAsync(() => Assert.Equal("Left ear, 250 Hz: 15 dB HL.", page.Find("[aria-live=polite].unseen").TextContent));
    }

    [Fact]
    public async Task APictureThatCannotBeDrawnLeavesCutAndHoldAtHand()
    {
        var broken = SampleViews.At(SessionStage.RoomNoise) with { Room = new RoomResult(null!, [], [], 10) };

        var page = await Open(broken);
        await page.Button("Hold").ClickAsync(new());

        Assert.Contains("This part of the page has failed", page.Words(), StringComparison.Ordinal);
        Assert.IsType<Hold>(Assert.Single(Link.Asked).Command);
    }

    [Fact]
    public async Task ASessionThatCannotBeShownSaysWhy()
    {
        await SignIn();
        Link.Reply = new WatchReply(null, new Refusal(RefusalCodes.SessionUnknown, "There is no such session.", "Go back to the list."));

        var page = Render<Workbench.WorkbenchPage>(parameters => parameters.Add(shown => shown.Id, Guid.CreateVersion7()));

        Assert.Contains("There is no such session. Go back to the list.", page.Words(), StringComparison.Ordinal);
    }
}
