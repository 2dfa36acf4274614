using Bunit;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>Consent at its gate, taken back from the bar, and what it says at the places it covers.</summary>
public sealed class ConsentFormTests : ConsoleContext
{
    [Fact]
    public async Task OnlyThePurposesAskedAreSentWithTheNewestTextOfTheLanguage()
    {
        var page = await Open(SampleViews.At(SessionStage.Consent));

        page.Named("The hearing test: given").Change(true);
        page.Named("Doing it at a distance: given").Change(true);
        page.Named("Recording sound or picture: not given").Change(true);
        page.Field("I explained what happens").Change(true);
        await page.Button("Record consent").ClickAsync(new());

        var answer = Assert.IsType<AnswerConsent>(Assert.Single(Link.Asked).Command);
        Assert.Equal([new ConsentReply(ConsentPurpose.Care, true, 2), new(ConsentPurpose.RemoteMode, true, 2), new(ConsentPurpose.Recording, false, 2)], answer.Replies);
        Assert.Equal(("en", ConsentParty.Themself, ConsentMeans.Spoken, true, false), (answer.Language, answer.By, answer.How, answer.FailurePlanExplained, answer.InPersonOffered));
    }

    [Fact]
    public async Task ThePersonsLanguageIsShownAndASubstituteNeedsNameAndCapacity()
    {
        var view = SampleViews.At(SessionStage.Consent);
        var page = await Open(view with { Person = view.Person with { Language = "es" } });
        Assert.Contains("Care es 1?", page.Words(), StringComparison.Ordinal);
        Assert.DoesNotContain("Care en 2?", page.Words(), StringComparison.Ordinal);

        page.Named("The hearing test: given").Change(true);
        page.Field("Somebody for the person").Change(true);
        await page.Button("Record consent").ClickAsync(new());
        Assert.Empty(Link.Asked);

        page.Field("Name of who answers").Input("R. Hale ");
        page.Field("In what capacity").Input("guardian");
        page.Field("Doubt whether the person can decide").Input("did not follow the question");
        await page.Button("Record consent").ClickAsync(new());

        var answer = Assert.IsType<AnswerConsent>(Assert.Single(Link.Asked).Command);
        Assert.Equal((new ConsentParty("R. Hale", "guardian", "did not follow the question"), "es"), (answer.By, answer.Language));
    }

    [Fact]
    public async Task TheKitsScreenIsAskedForWhatIsNotAnsweredHere()
    {
        var page = await Open(SampleViews.At(SessionStage.Consent));

        page.Named("Recording sound or picture: not given").Change(true);
        await page.Button("Ask on the kit's screen").ClickAsync(new());

        var ask = Assert.IsType<AskConsentOnScreen>(Assert.Single(Link.Asked).Command);
        Assert.Equal(ConsentPurposes.InSession.Where(purpose => purpose != ConsentPurpose.Recording), ask.Purposes);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task AfterConsentWasTakenBackThePlanAndTheVisitAreToldAgain(bool takenBack)
    {
        var entries = SampleViews.Consent().Select(entry => entry with { FailurePlanExplained = true, InPersonOffered = true });
        var page = await Open(SampleViews.At(SessionStage.Consent) with { Consent = [.. entries.Select(entry => takenBack && entry.Purpose == ConsentPurpose.Care ? entry with { Standing = ConsentStanding.Withdrawn } : entry)] });

        Assert.All(["I explained what happens", "I offered a visit"], tick => Assert.Equal(!takenBack, page.Field(tick).HasAttribute("checked")));
    }

    [Fact]
    public async Task EveryPurposeShowsHowItStands()
    {
        var page = await Open(SampleViews.At(SessionStage.Consent) with { Consent = SampleViews.Consent() });

        Assert.Contains("The hearing test (needed) agreed, spoken; text 2 (en), the person version 2", page.Words(), StringComparison.Ordinal);
        Assert.Contains("Pictures of the ear declined, spoken", page.Words(), StringComparison.Ordinal);
        Assert.Contains("Recording sound or picture", page.Words(), StringComparison.Ordinal);

        // That is asked with the paper of the loan.
        Assert.DoesNotContain("Borrowing the kit", page.Words(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(SessionStage.Testing)]
    [InlineData(SessionStage.Stopped)]
    [InlineData(SessionStage.Review)]
    public async Task ConsentIsTakenBackFromTheBarAtAnyStage(SessionStage stage)
    {
        var page = await Open(SampleViews.At(stage) with { Consent = SampleViews.Consent(ConsentPurpose.Sharing) });

        await page.Button("Consent taken back…").ClickAsync(new());
        page.Field("The hearing test").Change(false);
        page.Field("What the person said").Input("not to my doctor");
        page.Field("Somebody for the person").Change(true);
        Assert.Contains("Write who answers for the person, and in what capacity.", page.Words(), StringComparison.Ordinal);
        page.Field("Name of who answers").Input("R. Hale");
        page.Field("In what capacity").Input("guardian");
        await page.Find("dialog form").SubmitAsync();

        var withdraw = Assert.IsType<WithdrawConsent>(Assert.Single(Link.Asked).Command);
        Assert.Equal([ConsentPurpose.RemoteMode, ConsentPurpose.Sharing], withdraw.Purposes);
        Assert.Equal(("not to my doctor", new ConsentParty("R. Hale", "guardian", null)), (withdraw.Reason, withdraw.By));
    }

    [Fact]
    public async Task AFileForOthersIsOfferedWithConsentToSharingOnly()
    {
        var page = await Open(SampleViews.At(SessionStage.Closed) with { Consent = SampleViews.Consent() });
        Assert.DoesNotContain("to hand to others (JSON)", page.Markup, StringComparison.Ordinal);
        Assert.Empty(page.FindAll("a[href*='to=others']"));

        Link.Push(SampleViews.At(SessionStage.Closed, version: 41) with { Consent = SampleViews.Consent(ConsentPurpose.Sharing) });

        page.WaitForAssertion(() => Assert.Single(page.FindAll("a[href*='to=others']")));
    }
}
