using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Tests.Practice;

/// <summary>What sign-offs and registrations allow, and what is refused. Source of the tiers: the project's own design (roles, assistant tiers, tasks).</summary>
public sealed class PracticeRulesTests
{
    private static readonly DateOnly _today = new(2026, 3, 18);
    private static readonly Actor _coordinator = new("coordinator-1", "Iris Hale");

    private static readonly PracticePeople _people = new(
    [
        (new PracticePerson("assistant-1", "Ilse Sorrel"), [Roles.Assistant]),
        (new PracticePerson("both-1", "Ivo Lindqvist"), [Roles.Assistant, Roles.Clinician]),
        (new PracticePerson("clinician-1", "Maren Toft"), [Roles.Clinician]),
        (new PracticePerson("owner-1", "Owen Marsh"), [Roles.Owner]),
        (new PracticePerson("coordinator-1", "Iris Hale"), [Roles.Coordinator]),
    ]);

    private PracticeState _state = PracticeState.Empty;

    private static GiveSignOff SignOff => new(Guid.CreateVersion7(), "assistant-1", AssistantTask.EarPicture, "clinician-1", VerifiedHow.InPerson, _today.AddDays(-2), _today.AddDays(100), null);

    private static KeepRegistration Registration => new(Guid.CreateVersion7(), "clinician-1", "CA-NS", "A-1042", "Audiologist", _today.AddDays(100));

    private Refusal? Ask(FleetCommand command, Actor? by = null)
    {
        var decision = PracticeDecider.Decide(_state, command, by ?? _coordinator, _people, _today);
        _state = decision.Facts.Cast<IPracticeFact>().Aggregate(_state, PracticeFold.Apply);
        return decision.Refusal;
    }

    private void Trained(AssistantTier tier = AssistantTier.Trained) => Assert.Null(Ask(new SetTier("assistant-1", tier, "course of the clinic")));

    private bool May(AssistantTask task, DateOnly? day = null) => SignOffs.Holds(_state, "assistant-1", task, day ?? _today).Holds;

    [Fact]
    public void AHelperMayDoTheFirstTierAloneAndNothingElseWithoutTierAndSignOff()
    {
        Assert.Equal([AssistantTask.HandleKit, AssistantTask.PlaceEarphones, AssistantTask.RoomNoise, AssistantTask.SideProof, AssistantTask.Coach], AssistantTasks.All.Where(task => May(task)));

        Assert.Contains("tier 2", Ask(SignOff)!.Sentence, StringComparison.Ordinal);
        Trained();
        Assert.False(May(AssistantTask.EarPicture));
        Assert.Null(Ask(SignOff));
        Assert.True(May(AssistantTask.EarPicture));
        Assert.False(May(AssistantTask.InsertTips));
        Assert.False(May(AssistantTask.ProbeTube));

        // A tier taken back takes the tasks with it, whatever was signed off.
        Trained(AssistantTier.Helper);
        Assert.False(May(AssistantTask.EarPicture));
    }

    [Fact]
    public void ASignOffCountsFromItsFirstToItsLastDayBothIncludedUnlessWithdrawn()
    {
        Trained();
        var given = SignOff;
        Assert.Null(Ask(given));

        Assert.False(May(AssistantTask.EarPicture, given.On.AddDays(-1)));
        Assert.True(May(AssistantTask.EarPicture, given.On));
        Assert.True(May(AssistantTask.EarPicture, given.Until));
        Assert.False(May(AssistantTask.EarPicture, given.Until.AddDays(1)));
        Assert.Contains("ended on 26 June 2026", SignOffs.Holds(_state, "assistant-1", AssistantTask.EarPicture, given.Until.AddDays(1)).Sentence, StringComparison.Ordinal);

        Assert.Null(Ask(new WithdrawSignOff(given.SignOffId, "hands not steady")));
        Assert.False(May(AssistantTask.EarPicture));
        Assert.NotNull(Ask(new WithdrawSignOff(given.SignOffId, "again")));
    }

    [Fact]
    public void TheFirstSignOffIsInPersonAndALivePictureRenewsIt()
    {
        Trained();

        Assert.Contains("in person", Ask(SignOff with { How = VerifiedHow.LivePicture })!.Sentence, StringComparison.Ordinal);
        Assert.Null(Ask(SignOff));
        Assert.Null(Ask(SignOff with { How = VerifiedHow.LivePicture }));
        Assert.NotNull(Ask(SignOff with { How = VerifiedHow.LivePicture, Task = AssistantTask.InsertTips }));

        // What was withdrawn as wrong was never seen.
        var wrong = SignOff with { Task = AssistantTask.InsertTips };
        Assert.Null(Ask(wrong));
        Assert.Null(Ask(new WithdrawSignOff(wrong.SignOffId, "it was somebody else")));
        Assert.NotNull(Ask(SignOff with { How = VerifiedHow.LivePicture, Task = AssistantTask.InsertTips }));
    }

    [Theory]
    [InlineData(1, 100, "still to come")]
    [InlineData(-10, -11, "before the day it was seen")]
    [InlineData(-10, -1, "past already")]
    [InlineData(0, 732, "at most 731 days")]
    public void DaysThatCannotBeRightAreRefusedInWords(int on, int until, string words)
    {
        Trained();

        Assert.Contains(words, Ask(SignOff with { On = _today.AddDays(on), Until = _today.AddDays(until) })!.Sentence, StringComparison.Ordinal);
        Assert.Empty(_state.SignOffs);
    }

    [Fact]
    public void NobodySignsOffThemselvesAndOnlyCliniciansOrTheOwnerVerify()
    {
        Trained();
        Assert.Null(Ask(new SetTier("both-1", AssistantTier.Trained, "course")));

        Assert.Equal(PracticeRefusals.Oneself, Ask(SignOff with { PersonId = "both-1", VerifiedById = "both-1" }));
        Assert.Equal(PracticeRefusals.Oneself, Ask(SignOff with { PersonId = "both-1" }, new Actor("both-1", "Ivo Lindqvist")));
        Assert.Equal(PracticeRefusals.Oneself, Ask(new SetTier("both-1", AssistantTier.Licensed, "me"), new Actor("both-1", "Ivo Lindqvist")));
        Assert.Equal(PracticeRefusals.NoVerifier, Ask(SignOff with { VerifiedById = "coordinator-1" }));
        Assert.Equal(PracticeRefusals.NoVerifier, Ask(SignOff with { VerifiedById = "nobody" }));
        Assert.Equal(PracticeRefusals.NoAssistant, Ask(SignOff with { PersonId = "clinician-1" }));
        Assert.Null(Ask(SignOff with { VerifiedById = "owner-1" }));
    }

    [Theory]
    [InlineData("CA-NS", RegistrationStanding.Matches)]
    [InlineData("CA-NB", RegistrationStanding.NotForThisPlace)]
    [InlineData("CA", RegistrationStanding.NotForThisPlace)]
    [InlineData("NL", RegistrationStanding.NotForThisPlace)]
    [InlineData("GB-SCT", RegistrationStanding.Matches)]
    [InlineData("GB", RegistrationStanding.Matches)]
    public void ARegistrationCountsAtItsPlaceAndThatOfACountryInItsParts(string place, RegistrationStanding expected)
    {
        Assert.Null(Ask(Registration));
        Assert.Null(Ask(Registration with { RegistrationId = Guid.CreateVersion7(), Jurisdiction = "gb" }));

        Assert.Equal(expected, Registrations.Standing(_state, "clinician-1", place, _today).Standing);
        Assert.Equal(RegistrationStanding.None, Registrations.Standing(_state, "both-1", place, _today).Standing);
    }

    [Fact]
    public void AnExpiredRegistrationIsSaidAndAnEndedOneCountsForNothing()
    {
        var kept = Registration;
        Assert.Null(Ask(kept));

        Assert.Equal(RegistrationStanding.Matches, Registrations.Standing(_state, "clinician-1", "CA-NS", kept.ValidUntil).Standing);
        Assert.Equal(RegistrationStanding.Expired, Registrations.Standing(_state, "clinician-1", "CA-NS", kept.ValidUntil.AddDays(1)).Standing);
        Assert.Null(Ask(Registration with { RegistrationId = Guid.CreateVersion7(), ValidUntil = kept.ValidUntil.AddDays(365) }));
        Assert.Equal(RegistrationStanding.Matches, Registrations.Standing(_state, "clinician-1", "CA-NS", kept.ValidUntil.AddDays(1)).Standing);
        Assert.NotNull(Ask(new EndRegistration(kept.RegistrationId, "both-1", "not theirs")));
        Assert.Null(Ask(new EndRegistration(kept.RegistrationId, "clinician-1", "moved")));
        Assert.Null(Ask(new EndRegistration(_state.Registrations[1].Kept.RegistrationId, "clinician-1", "moved")));
        Assert.Equal(RegistrationStanding.None, Registrations.Standing(_state, "clinician-1", "CA-NS", _today).Standing);
    }

    [Fact]
    public void WhatEndsWithinThirtyDaysIsSaid()
    {
        Trained();
        Assert.Null(Ask(SignOff with { Until = _today.AddDays(30) }));
        Assert.Null(Ask(SignOff with { Task = AssistantTask.InsertTips, Until = _today.AddDays(31) }));
        var view = PracticeViewBuilder.Build(_state, _people, _today, new IntegrityView(true, null));

        var shown = view.Assistants.Single(assistant => assistant.Person.PersonId == "assistant-1");

        Assert.Equal([Lasting.Holds, Lasting.EndsSoon], shown.SignOffs.Select(signOff => signOff.Lasting));
        Assert.Equal(Lasting.Over, PracticeViewBuilder.Build(_state, _people, _today.AddDays(31), view.Integrity).Assistants.Single(assistant => assistant.Person.PersonId == "assistant-1").SignOffs[1].Lasting);
    }

    [Theory]
    [InlineData("", "no digit", "The number")]
    [InlineData("XX", "A-1", "no code of a country")]
    [InlineData("CA-XX", "A-1", "has no part")]
    [InlineData("Nova Scotia", "A-1", "no code of ISO 3166")]
    [InlineData("NL", "ABC", "at least one digit")]
    public void RegistrationsOfNoPlaceOrWithoutANumberAreRefusedInWords(string place, string number, string words)
    {
        var faults = FleetCommandValidator.Faults(new FleetCommandEnvelope(Protocol.Version, CommandId.New(), default, Registration with { Jurisdiction = place, Number = number }));

        Assert.Contains(faults, fault => fault.Contains(words, StringComparison.Ordinal));
    }

    [Fact]
    public void LongTextsAreRefusedInWords()
    {
        IReadOnlyList<string> Faults(FleetCommand command) => FleetCommandValidator.Faults(new FleetCommandEnvelope(Protocol.Version, CommandId.New(), default, command));

        Assert.Contains(Faults(Registration with { Title = new string('a', 61) }), fault => fault.Contains("longer than 60", StringComparison.Ordinal));
        Assert.Contains(Faults(Registration with { Number = new string('1', 61) }), fault => fault.Contains("longer than 60", StringComparison.Ordinal));
        Assert.Contains(Faults(SignOff with { Note = new string('a', 301) }), fault => fault.Contains("longer than 300", StringComparison.Ordinal));
        Assert.Contains(Faults(SignOff with { Task = AssistantTask.HandleKit }), fault => fault.Contains("needs no sign-off", StringComparison.Ordinal));
        Assert.Empty(Faults(Registration));
        Assert.Empty(Faults(SignOff));
    }
}
