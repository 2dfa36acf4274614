using Bunit;
using TeleHearing.Clinician.Web.Workbench;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>The start card as a clinician fills it in, and the line that stays in sight.</summary>
public sealed class StartCardTests : ConsoleContext
{
    private static readonly RegistrationView _registration = new(Guid.CreateVersion7(), "CA-NS", "A-1042", "Audiologist", new DateOnly(2031, 12, 31), "Maren Toft", null, Lasting.Holds);

    private void Help(IReadOnlyList<RegistrationView> registrations, params IReadOnlyList<LookAlikeView> alike) =>
        Link.StartCard = new StartCardReply(new StartCardHelp(new DateOnly(2031, 5, 14), registrations, alike), null);

    private static void FillIn(IRenderedComponent<WorkbenchPage> page, string birth = "1951-03-02")
    {
        page.Field("As the person says it, first").Input("Edda Sorrel");
        page.Field("As the person says it, second").Input(birth);
        page.Field("Exact place now").Input(" Birch Lane 4 ");
        page.Field("Country or part of it").Input("ca-ns");
        page.Field("Number to call").Input("555 0142");
        page.Field("Emergency number").Input("112");
        page.Field("Someone to call").Input("Ilse, 555 0177");
        page.Field("In the room with the person").Input("Edda, Ilse");
        page.Field("In your own room").Input("alone");
        page.Field("The person agrees to everybody").Change(true);
        page.Field("I have said my name").Change(true);
    }

    [Fact]
    public async Task TheCardIsSentAsWritten()
    {
        Help([_registration]);
        var page = await Open(SampleViews.At(SessionStage.Identity));

        FillIn(page);
        Assert.Contains("✓ Your registration covers CA-NS (Canada): Audiologist, A-1042.", page.Words(), StringComparison.Ordinal);
        await page.Button("Confirm who and where").ClickAsync(new());

        var card = Assert.IsType<ConfirmIdentity>(Assert.Single(Link.Asked).Command).Card;
        Assert.Equal([new SpokenIdentifier(IdentifierKind.FullName, "Edda Sorrel"), new SpokenIdentifier(IdentifierKind.BirthDate, "1951-03-02")], card.Identifiers);
        Assert.Equal(("Birch Lane 4", "CA-NS", "555 0142", "112", "Ilse, 555 0177", "Edda, Ilse", "alone"), (card.AddressNow, card.Jurisdiction, card.CallBackNumber, card.EmergencyNumber, card.EmergencyContact, card.PeopleAtSite, card.PeopleWithClinician));
        Assert.Null(card.RegistrationReason);
        Assert.Null(card.WhoItIs);
    }

    [Fact]
    public async Task WithoutARegistrationForThePlaceAReasonIsAskedFor()
    {
        Help([_registration with { Jurisdiction = "NL" }]);
        var page = await Open(SampleViews.At(SessionStage.Identity));

        FillIn(page);
        Assert.Contains("▲ None of your registrations covers CA-NS (Canada).", page.Words(), StringComparison.Ordinal);
        await page.Button("Confirm who and where").ClickAsync(new());
        Assert.Empty(Link.Asked);
        page.Field("Reason for going on").Input("Agreed with the licensing body");
        await page.Button("Confirm who and where").ClickAsync(new());

        Assert.Equal("Agreed with the licensing body", Assert.IsType<ConfirmIdentity>(Assert.Single(Link.Asked).Command).Card.RegistrationReason);
    }

    [Fact]
    public async Task PeopleWhoLookAlikeAreShownAndWhichPersonItIsIsSaid()
    {
        Help([_registration], new LookAlikeView("P-0208", "Eda Sorrel", new DateOnly(1951, 2, 3), ["The name is similar.", "The date of birth has day and month exchanged."]));
        var page = await Open(SampleViews.At(SessionStage.Identity));

        FillIn(page);
        Assert.Contains("P-0208 Eda Sorrel", page.Words(), StringComparison.Ordinal);
        await page.Button("Confirm who and where").ClickAsync(new());
        Assert.Empty(Link.Asked);

        page.Field("It is somebody else").Change(true);
        Assert.Contains("Another person is there", page.Words(), StringComparison.Ordinal);
        page.Field("It is Edda Sorrel").Change(true);
        page.Field("How you know").Input("knew her own reference");
        await page.Button("Confirm who and where").ClickAsync(new());
        Assert.Equal(new WhoItIs("P-0107", "knew her own reference"), Assert.IsType<ConfirmIdentity>(Assert.Single(Link.Asked).Command).Card.WhoItIs);
    }

    [Fact]
    public async Task ABirthDateThatDiffersFromTheReferralIsSaidAtOnce()
    {
        Help([_registration]);
        var page = await Open(SampleViews.At(SessionStage.Identity));

        FillIn(page, "1951-02-03");

        Assert.Contains("The date of birth said is not the one of the referral.", page.Words(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(SessionStage.Consent)]
    [InlineData(SessionStage.Testing)]
    [InlineData(SessionStage.LinkLost)]
    [InlineData(SessionStage.Handoff)]
    public async Task EmergencyNumberAndPlaceStayInSight(SessionStage stage)
    {
        var page = await Open(SampleViews.At(stage));

        var line = Reading.Text(page.Find(".safety"));
        Assert.Contains("Emergency 112", line, StringComparison.Ordinal);
        Assert.Contains("Emergency 112 · Birch Lane 4, ground floor, Upper Fernhill", Reading.Text(page.Find(".bar .emergency")), StringComparison.Ordinal);
        Assert.Contains("Now at Birch Lane 4, ground floor, Upper Fernhill, CA-NS", line, StringComparison.Ordinal);
    }

    [Fact]
    public async Task WhoCorrectsTheirOwnCardFindsWhatWasSaidAndANewLeaderDoesNot()
    {
        Help([_registration]);
        var view = SampleViews.At(SessionStage.Testing).With("confirm-identity") with { Identity = SampleViews.Identity(null) };
        var page = await Open(view);
        await page.Button("Change who and where").ClickAsync(new());
        Assert.Equal("Edda Sorrel", page.Field("As the person says it, first").GetAttribute("value"));

        // Another leads from now on, with the card open on the screen.
        Link.Push(view with { Version = view.Version + 1, Identity = SampleViews.Identity("Ivo Lindqvist confirmed it, and Maren Toft leads now: confirm who is there and where anew.") });

        page.WaitForAssertion(() => Assert.Equal("", page.Field("As the person says it, first").GetAttribute("value")));
        Assert.Equal("", page.Field("As the person says it, second").GetAttribute("value"));
    }

    [Fact]
    public async Task TheCardIsPutRightInTheMiddleOfASession()
    {
        Help([_registration]);
        var view = SampleViews.At(SessionStage.Testing).With("confirm-identity") with { Identity = SampleViews.Identity("There was a gap longer than the clinic's limit.") };
        var page = await Open(view);
        Assert.Contains("▲ There was a gap longer than the clinic's limit.", page.Words(), StringComparison.Ordinal);

        await page.Button("Change who and where").ClickAsync(new());

        // Nobody confirms what they have not asked: only place and numbers are filled in.
        Assert.Equal(["", ""], new[] { "first", "second" }.Select(which => page.Field($"As the person says it, {which}").GetAttribute("value")));
        Assert.Equal("Birch Lane 4, ground floor, Upper Fernhill", page.Field("Exact place now").GetAttribute("value"));
        page.Field("As the person says it, first").Input("Edda Sorrel");
        page.Field("As the person says it, second").Input("1951-03-02");
        page.Field("Exact place now").Input("Birch Lane 4, kitchen");
        await page.Button("Confirm again").ClickAsync(new());
        Assert.Empty(Link.Asked);
        page.Field("The person agrees to everybody").Change(true);
        page.Field("I have said my name").Change(true);
        await page.Button("Confirm again").ClickAsync(new());

        Assert.Equal("Birch Lane 4, kitchen", Assert.IsType<ConfirmIdentity>(Assert.Single(Link.Asked).Command).Card.AddressNow);
    }
}
