using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Cli.Clinician;

/// <summary>What the scripted clinician puts on record at each gate. Everything about the person and the place is invented.</summary>
internal static class ScriptedAnswers
{
    /// <summary>The start card as read back from the referral the session shows.</summary>
    public static ConfirmIdentity Identity(SessionView view) => new(new StartCard(
        [new SpokenIdentifier(IdentifierKind.FullName, view.Person.Name), new SpokenIdentifier(IdentifierKind.BirthDate, view.Person.BirthDate.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture))],
        "4 Orchard Row, Fernhill",
        "CA-NS",
        "555 0142",
        "112",
        "neighbour, 555 0143",
        "person tested and assistant",
        "alone in a closed room",
        PeopleAgreed: true,
        Introduced: true,
        RegistrationReason: "Agreed with the licensing body for this session.",
        new WhoItIs(view.Person.Reference, "Name, date of birth and reference were said without being read out.")));

    /// <summary>Consent to everything but pictures, recording and loan, by the texts that come with the tool.</summary>
    public static AnswerConsent Consent() => new(
        [
            new(ConsentPurpose.Care, Given: true, 1),
            new(ConsentPurpose.RemoteMode, Given: true, 1),
            new(ConsentPurpose.Assistant, Given: true, 1),
            new(ConsentPurpose.Images, Given: false, 1),
            new(ConsentPurpose.Recording, Given: false, 1),
            new(ConsentPurpose.Sharing, Given: true, 1),
        ],
        "en",
        ConsentParty.Themself,
        ConsentMeans.Spoken,
        FailurePlanExplained: true,
        InPersonOffered: true);

    /// <summary>A clear ear canal.</summary>
    public static RecordEarLook EarLook(Ear ear) => new(ear, EarFinding.Clear, SafeToCover: true, Reason: null);

    /// <summary>Reason for going on in a room that hides low levels.</summary>
    public static AcceptSides Sides() => new("This ear is known to hear nothing at these levels; the assistant heard the tones in its earphone.");

    public static AcceptRoom Room() => new("No quieter room at this address; results at the bound are marked as limited by noise.");

    /// <summary>Every warning sign asked and answered with no.</summary>
    public static RecordReview Review() => new(
        [.. WarningSigns.All.Select(sign => new WarningAnswer(sign.Code, Present: false, WarningAction.NoneNeeded))],
        "Good: responses were prompt and consistent.",
        "Air-conduction thresholds measured in both ears; see the audiogram.");

    /// <summary>What the person leaves with; the next step stays with whoever ran the session.</summary>
    public static RecordHandoff Handoff(HandoffOwner owner) => new(
        "Your hearing was measured today and the results are kept in your record.",
        "The clinic calls within a week to talk about them.",
        FamilyPresent: false) { Owner = owner };
}
