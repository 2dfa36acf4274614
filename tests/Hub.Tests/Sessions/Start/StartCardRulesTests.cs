using TeleHearing.Audiology;
using TeleHearing.Contracts;
using TeleHearing.Hub.People.LookAlikes;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.Start;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions.Start;

/// <summary>What a start card needs, what it warns of, and when it has to be confirmed anew. Source: the project's own design ("WhoWhere": what blocks and what warns).</summary>
public sealed class StartCardRulesTests
{
    private static readonly KnownPerson _person = new("P-0001", "Ottilie Brandvold", new DateOnly(1951, 3, 4));
    private static readonly Actor _maren = new("maren", "Maren Toft");

    private static readonly RegistrationAnswer _registered = new(
        RegistrationStanding.Matches,
        new Registration(new RegistrationKept(Guid.CreateVersion7(), "maren", "CA-NS", "A-1042", "Audiologist", new DateOnly(2027, 1, 1), _maren), null));

    private static Decision Decide(StartCard card, CardFacts facts) => CardDecider.Decide(PureSession.At(SessionStage.Identity).State, card, _maren, facts);

    private static string Refused(StartCard card, CardFacts facts) => Assert.IsType<Refused>(Decide(card, facts)).Refusal.Sentence;

    private static StartCardConfirmed Confirmed(StartCard card, CardFacts facts) => Assert.IsType<StartCardConfirmed>(Assert.Single(Assert.IsType<Hub.Sessions.Decisions.Decided>(Decide(card, facts)).Events));

    [Theory]
    [InlineData(RegistrationStanding.None, "No registration of yours is kept.")]
    [InlineData(RegistrationStanding.NotForThisPlace, "None of your registrations covers CA-NS.")]
    [InlineData(RegistrationStanding.Expired, "Your registration for CA-NS has expired.")]
    public void ARegistrationThatDoesNotCoverThePlaceAsksForAReasonAndNeverBlocksByItself(RegistrationStanding standing, string words)
    {
        var facts = new CardFacts(_person, new RegistrationAnswer(standing, null), []);

        Assert.Equal(words, Refused(Samples.Card() with { RegistrationReason = " " }, facts));
        var confirmed = Confirmed(Samples.Card(), facts);
        Assert.Equal((standing, "Agreed with the licensing body"), (confirmed.Standing, confirmed.Card.RegistrationReason));
    }

    [Fact]
    public void ARegistrationThatMatchesIsShownAndNeedsNoReason()
    {
        var confirmed = Confirmed(Samples.Card(), new CardFacts(_person, _registered, []));

        Assert.Null(confirmed.Card.RegistrationReason);
        Assert.Equal("Audiologist, A-1042 (CA-NS)", confirmed.Registration!.ToString());
    }

    [Fact]
    public void LookAlikesAndWhatDiffersAskWhichPersonItIs()
    {
        var alike = new CardFacts(_person, _registered, [new LookAlikeView("P-0002", "Otilie Brandvold", new DateOnly(1951, 4, 3), ["The name is similar."])]);
        var silent = Samples.Card() with { WhoItIs = null };

        Assert.Contains("Others look alike: P-0002.", Refused(silent, alike), StringComparison.Ordinal);
        Assert.Equal(["P-0002"], Confirmed(Samples.Card(), alike).LookAlikes);
        Assert.Contains("planned for P-0001, not for P-0002", Refused(Samples.Card("P-0002"), alike), StringComparison.Ordinal);

        var alone = new CardFacts(_person, _registered, []);
        Assert.Empty(Confirmed(silent, alone).LookAlikes);
        var other = silent with { Identifiers = [new SpokenIdentifier(IdentifierKind.FullName, "Ottilie Brandvold"), new SpokenIdentifier(IdentifierKind.BirthDate, "1951-04-03")] };
        Assert.Contains("date of birth said is not the one", Refused(other, alone), StringComparison.Ordinal);
        Assert.NotNull(Confirmed(other with { WhoItIs = new WhoItIs("p-0001", "the referral has a slip; the reference was known") }, alone).Card.WhoItIs);
    }

    [Fact]
    public void EveryFieldThatBlocksIsSaidAtOnce()
    {
        var faults = Faults(new StartCard([], " ", "XX", "", "", "", "", "", false, false, null, null));

        foreach (var words in new[] { "Two identifiers", "address now", "no code of a country", "call-back number", "emergency number", "emergency contact", "with the person", "your own room", "agrees", "your own name" })
        {
            Assert.Contains(faults, fault => fault.Contains(words, StringComparison.OrdinalIgnoreCase));
        }

        Assert.Empty(Faults(Samples.Card()));
        Assert.Contains(Faults(Samples.Card() with { Identifiers = [new(IdentifierKind.FullName, "A"), new(IdentifierKind.FullName, "B")] }), fault => fault.Contains("different kinds", StringComparison.Ordinal));
        Assert.Contains(Faults(Samples.Card() with { Identifiers = [new(IdentifierKind.FullName, "A"), new(IdentifierKind.BirthDate, "the fourth of March")] }), fault => fault.Contains("no day", StringComparison.Ordinal));
        Assert.Contains(Faults(Samples.Card() with { AddressNow = new string('a', 201) }), fault => fault.Contains("longer than 200", StringComparison.Ordinal));
    }

    // Numbers: 112 and 911 by ITU-T E.161.1; 000, 999 and 15 are in use (from memory); at most 15 digits by ITU-T E.164.
    [Theory]
    [InlineData("112", true)]
    [InlineData("911", true)]
    [InlineData("000", true)]
    [InlineData("999", true)]
    [InlineData("15", true)]
    [InlineData("+1 (902) 555-0199", true)]
    [InlineData("1", false)]
    [InlineData("call the nurse", false)]
    [InlineData("112 or so", false)]
    [InlineData("1234567890123456", false)]
    [InlineData("5+5", false)]
    public void AnEmergencyNumberIsCheckedForPlausibilityAlone(string number, bool plausible) =>
        Assert.Equal(plausible, !Faults(Samples.Card() with { EmergencyNumber = number }).Any(fault => fault.Contains("emergency number", StringComparison.OrdinalIgnoreCase)));

    [Fact]
    public void TheCardIsPutRightAtEveryOpenStageAndEveryVersionIsKept()
    {
        var session = PureSession.At(SessionStage.Testing);

        session.Must(new ConfirmIdentity(Samples.Card() with { AddressNow = "Mill Lane 4, kitchen" }));
        session.Must(new Hold("somebody came in"));
        session.Must(new ConfirmIdentity(Samples.Card() with { PeopleAtSite = "Person, assistant, neighbour" }));

        Assert.Equal("Person, assistant, neighbour", session.State.Identity!.Card.PeopleAtSite);
        Assert.Equal(["Mill Lane 4, Fernhill", "Mill Lane 4, kitchen", "Mill Lane 4, Fernhill"], session.State.History.Select(recorded => recorded.Event).OfType<StartCardConfirmed>().Select(card => card.Card.AddressNow));
        Assert.Equal(RefusalCodes.GateNotMet, PureSession.At(SessionStage.Connecting).Refusal(Samples.Identity).Code);
    }

    [Fact]
    public void AfterALongGapNothingIsMeasuredUntilTheCardIsConfirmedAnew()
    {
        var session = PureSession.At(SessionStage.KitCheck);
        session.Must(new Hold(null));
        session.Now += TimeSpan.FromMinutes(9);
        session.Must(new Resume(null));
        Assert.Null(StartCards.AgainBecause(session.State));

        session.LoseLink();
        session.Now += TimeSpan.FromMinutes(11);
        session.Greet();

        Assert.NotNull(StartCards.AgainBecause(session.State));
        Assert.Equal(RefusalCodes.CardNotConfirmed, session.Refusal(new OrderStep(new CheckKitStep(), false)).Code);
        session.Must(Samples.Identity);
        session.Must(new OrderStep(new CheckKitStep(), false));
    }

    [Fact]
    public void WhoeverComesToLeadConfirmsTheCardBeforeAnyStep()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Must(new ReleaseControl());
        session.Must(new TakeControl(), PureSession.Ivo);
        var search = new OrderStep(new SearchThresholdStep(Ear.Right, 1000, Audiology.PureTone.StoppingRule.TwoOfThree, Audiology.Signals.ToneShape.Steady), false);

        Assert.Equal(RefusalCodes.CardNotConfirmed, session.Refusal(search, PureSession.Ivo).Code);
        Assert.Contains("Maren Toft confirmed it, and Ivo Lindqvist leads now", StartCards.View(session.State)!.AgainBecause, StringComparison.Ordinal);
        session.Must(Samples.Identity, PureSession.Ivo);
        session.Must(search, PureSession.Ivo);
    }

    [Fact]
    public void ACardOfTheFirstShapeIsReadAndShown()
    {
        var session = PureSession.At(SessionStage.Identity);
        session.Happened(new IdentityConfirmed(new IdentityAsOnce("Ottilie Brandvold", "1951-03-04", "Mill Lane 4", "555 0101", "112", "Neighbour", "Person, assistant", false, "agreed"), _maren));

        var view = StartCards.View(session.State)!;

        Assert.Equal(("Mill Lane 4", "Person, assistant", RegistrationStanding.NotForThisPlace, "agreed"), (view.Card.AddressNow, view.Card.Present, view.Standing, view.Card.RegistrationReason));

        // It does not know the country, so the gate asks for a card as it is now.
        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new Advance()).Code);
        session.Must(Samples.Identity);
        session.Must(new Advance());
    }

    private static IReadOnlyList<string> Faults(StartCard card) =>
        CommandValidator.Faults(new CommandEnvelope(Protocol.Version, CommandId.New(), SessionId.New(), 0, 0, default, new ConfirmIdentity(card)));
}
