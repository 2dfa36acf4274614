using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Noise;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>Content that passes every check.</summary>
internal static class Samples
{
    public static ConfirmIdentity Identity { get; } = new(Card());

    /// <summary>A card for a clinician without a registration, which asks for a reason.</summary>
    public static StartCard Card(string reference = "P-0001") => new(
        [new SpokenIdentifier(IdentifierKind.FullName, "Ottilie Brandvold"), new SpokenIdentifier(IdentifierKind.BirthDate, "1951-03-04")],
        "Mill Lane 4, Fernhill",
        "CA-NS",
        "555 0101",
        "112",
        "Neighbour, 555 0102",
        "Person and assistant",
        "alone",
        true,
        true,
        "Agreed with the licensing body",
        new WhoItIs(reference, "Both identifiers were said without being read out"));

    /// <summary>Consent to an assistant being present, as it is kept.</summary>
    public static ConsentAnswered AssistantAgreed { get; } =
        new(ConsentPurpose.Assistant, true, new ConsentTextShown("1", "en", "00ff"), ConsentParty.Themself, ConsentMeans.Spoken, true, true, new Actor("maren", "Maren Toft"));

    /// <summary>Consent to all that most sessions use; not to recording and loan.</summary>
    public static AnswerConsent Consent { get; } = Answers(ConsentPurpose.Care, ConsentPurpose.RemoteMode, ConsentPurpose.Assistant, ConsentPurpose.Images, ConsentPurpose.Sharing);

    /// <summary>A sheet as it was recorded before each purpose had an entry.</summary>
    public static ConsentSheet Sheet { get; } = new([new(ConsentPurpose.Care, true), new(ConsentPurpose.RemoteMode, true), new(ConsentPurpose.Images, false)], "1", "en", "the person", true, true);

    /// <summary>Yes to these purposes and no to the others, spoken.</summary>
    public static AnswerConsent Answers(params ConsentPurpose[] given) =>
        new([.. ConsentPurposes.All.Select(purpose => new ConsentReply(purpose, given.Contains(purpose), 1))], "en", ConsentParty.Themself, ConsentMeans.Spoken, true, true);

    public static RecordReview Review { get; } = new([.. WarningSigns.All.Select(sign => new WarningAnswer(sign.Code, false, WarningAction.NoneNeeded))], "good", "Mild loss in both ears.");

    public static RecordHandoff Handoff { get; } = new("Your hearing is a little down.", "Visit in two weeks.", true) { Owner = new HandoffOwner(null, "Harbour Street practice") };

    public static GearUsed Gear { get; } = new(TransducerKind.Circumaural, "T-1", "U-1", "C-1");

    public static KitCheckResult KitCheck { get; } = new([new("certificate", "Certificate", true, "valid", null)], Gear, new DateOnly(2027, 1, 1));

    public static RoomResult QuietRoom { get; } = new([new BandLevel(1000, 20)], [new BandLevel(1000, 25)], [new LowestProvableLevel(1000, -10, true, 1000)], 10);

    public static RoomResult LoudRoom { get; } = new([new BandLevel(1000, 60)], [new BandLevel(1000, 65)], [new LowestProvableLevel(1000, 25, true, 1000)], 10);

    public static SideProofResult SidesRight { get; } = new([new(Ear.Left, Ear.Left), new(Ear.Right, Ear.Right), new(Ear.Left, Ear.Left), new(Ear.Right, Ear.Right)]);

    public static RecordEarLook Clear(Ear ear) => new(ear, EarFinding.Clear, true, null);

    public static TrialRecord Trial(int number = 1, double level = 40) => new(number, Ear.Right, 1000, level, TrialKind.Tone, ToneShape.Steady, true, 1000, 1500, TrialVerdict.Heard, 350, 0, null, [new TrialNoise(1000, 12, 30)]);

    public static ThresholdRecord Threshold(StepId stepId, Ear ear = Ear.Right, int hertz = 1000, double level = 40) =>
        new(stepId, ear, hertz, new ThresholdOutcome.Established(level), StoppingRule.TwoOfThree, [Trial()], Gear, -10);
}
