using Bunit;
using TeleHearing.Audiology;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

public sealed class GateFormTests : ConsoleContext
{
    [Fact]
    public async Task AKitThatDidNotPassSaysHowToMendIt()
    {
        var page = await Open(SampleViews.At(SessionStage.KitCheck) with { KitCheck = SampleViews.KitCheck(passed: false) });

        Assert.Contains("✗ not passed Calibration certificate INV-2870 ended on 1 Feb 2031 Mend: Send the kit to the laboratory and use another one.", page.Words(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task TheRoomShowsItsBoundsAndIsAcceptedOnlyWithAReason()
    {
        var view = SampleViews.At(SessionStage.RoomNoise) with { KitCheck = SampleViews.KitCheck(true), Room = SampleViews.Room() };
        var page = await Open(view);
        Assert.Contains("Down to, dB HL 35 25 15 \u221210 \u221210 \u221210 \u221210 0", Reading.Text(page.Find(".provable")), StringComparison.Ordinal);
        Assert.Contains("circumaural earphones and tones from 125 Hz", page.Words(), StringComparison.Ordinal);

        await page.Button("Accept the room").ClickAsync(new());
        Assert.Empty(Link.Asked);

        page.Field("Reason to go on").Input("The fan cannot be switched off");
        await page.Button("Accept the room").ClickAsync(new());
        Assert.Equal(new AcceptRoom("The fan cannot be switched off"), Assert.Single(Link.Asked).Command);
    }

    [Fact]
    public async Task EachEarIsDecidedByItself()
    {
        var page = await Open(SampleViews.At(SessionStage.EarLook));

        var left = page.FindAll(".ear").Single(panel => Reading.Text(panel.QuerySelector("h2")!).Contains("Left ear", StringComparison.Ordinal));
        left.QuerySelector("select")!.Change(nameof(EarFinding.DischargeOrBlood));
        page.FindAll("input[name=cover-Left]")[1].Change(true);
        page.FindAll(".ear input[autocomplete]")[1].Input("See a doctor first");
        await page.Button("Record the left ear").ClickAsync(new());

        Assert.Equal(new RecordEarLook(Ear.Left, EarFinding.DischargeOrBlood, false, "See a doctor first"), Assert.Single(Link.Asked).Command);
    }

    [Fact]
    public async Task TheSideProofIsShownTrialByTrial()
    {
        var page = await Open(SampleViews.At(SessionStage.SideProof) with { SideProof = SampleViews.Sides(allRight: false) });

        Assert.Contains("Not proven", page.Words(), StringComparison.Ordinal);
        Assert.Contains("3 ✕ L left ○ R right ✗ other side", page.Words(), StringComparison.Ordinal);
        Assert.Contains("5 ✕ L left no answer ✗ no answer", page.Words(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AProofThatOneEarAloneAnswersIsAcceptedOnlyWithAReason()
    {
        var proof = new SideProofResult([new(Ear.Right, Ear.Right), new(Ear.Left, null), new(Ear.Left, null), new(Ear.Right, Ear.Right)]);
        var page = await Open(SampleViews.At(SessionStage.SideProof) with { SideProof = proof });
        Assert.Contains("The right ear answered every tone rightly, the other none.", page.Words(), StringComparison.Ordinal);
        Assert.Contains("hold the silent earphone to an own ear", page.Words(), StringComparison.Ordinal);

        await page.Button("Accept the side proof").ClickAsync(new());
        await page.FindAll("form").Single(form => form.TextContent.Contains("Accept the side proof", StringComparison.Ordinal)).SubmitAsync();
        Assert.Empty(Link.Asked);

        page.Field("How it is known that this ear hears nothing").Input(" Deaf since childhood, the assistant heard the tone ");
        await page.Button("Accept the side proof").ClickAsync(new());
        Assert.Equal(new AcceptSides("Deaf since childhood, the assistant heard the tone"), Assert.Single(Link.Asked).Command);
    }

    [Fact]
    public async Task AnAcceptedProofShowsItsReasonAndOtherProofsHaveNothingToAccept()
    {
        var proof = new SideProofResult([new(Ear.Right, Ear.Right), new(Ear.Left, null), new(Ear.Left, null), new(Ear.Right, Ear.Right)]);
        var accepted = await Open(SampleViews.At(SessionStage.SideProof) with { SideProof = proof, SidesAcceptedReason = "Deaf since childhood" });
        Assert.Contains("Accepted: Deaf since childhood", accepted.Words(), StringComparison.Ordinal);
        Assert.DoesNotContain(accepted.FindAll("button"), button => button.TextContent.Contains("Accept the side proof", StringComparison.Ordinal));

        // One wrong answer may mean exchanged earphones: nothing of that is accepted.
        var exchanged = await Open(SampleViews.At(SessionStage.SideProof) with { SideProof = SampleViews.Sides(allRight: false) });
        Assert.DoesNotContain(exchanged.FindAll("button"), button => button.TextContent.Contains("Accept the side proof", StringComparison.Ordinal));
    }

    [Fact]
    public async Task TheReviewNeedsAnAnswerToEveryWarningSign()
    {
        var page = await Open(SampleViews.At(SessionStage.Review));
        Assert.Contains($"{WarningSigns.All.Count} of {WarningSigns.All.Count} warning signs still need an answer", page.Words(), StringComparison.Ordinal);

        foreach (var sign in WarningSigns.All)
        {
            page.Named($"{sign.Question} No").Change(true);
        }

        page.Named($"{WarningSigns.All[4].Question} Yes").Change(true);
        page.Named($"{WarningSigns.All[4].Question} Leads to").Change(nameof(WarningAction.UrgentReferral));
        page.Field("How far can the results be trusted").Input("Good");
        page.Field("Findings in a few sentences").Input("High tones are weak.");
        await page.Button("Record the review").ClickAsync(new());

        var review = Assert.IsType<RecordReview>(Assert.Single(Link.Asked).Command);
        Assert.Equal(WarningSigns.All.Select(sign => sign.Code), review.Warnings.Select(answer => answer.Sign));
        Assert.Equal(new WarningAnswer("dizziness", true, WarningAction.UrgentReferral), review.Warnings[4]);
        Assert.Equal(new WarningAnswer("pain", false, WarningAction.NoneNeeded), review.Warnings[2]);
    }

    [Fact]
    public async Task AMissingAverageSaysWhatIsMissing()
    {
        var page = await Open(SampleViews.At(SessionStage.Review));

        Assert.Contains("PTA 0.5-1-2-4 not formed: no threshold at 4000 Hz", page.Words(), StringComparison.Ordinal);
    }
}
