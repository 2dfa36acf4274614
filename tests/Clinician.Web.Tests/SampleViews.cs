using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Noise;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>Invented pictures of one invented session at every stage.</summary>
internal static class SampleViews
{
    public static readonly DateTimeOffset HubTime = new(2031, 5, 14, 9, 30, 0, TimeSpan.Zero);
    public static readonly SessionId Session = SessionId.From(new Guid("018f2b00-0000-7000-8000-000000000001"));
    public static readonly StepId Step = StepId.From(new Guid("018f2b00-0000-7000-8000-0000000000aa"));
    public static readonly GearUsed Gear = new(TransducerKind.Circumaural, "CE-2207", "AU-1140", "INV-3391");

    private static readonly string[] _commands =
    [
        "take-control", "release-control", "confirm-identity", "answer-consent", "ask-consent-on-screen", "withdraw-consent", "declare-recording", "record-ear-look", "accept-room", "accept-sides", "cut-step", "advance", "step-back",
        "hold", "resume", "add-note", "say-on-screen", "record-review", "record-handoff", "abort", "convert",
        "check-kit", "measure-room", "prove-sides", "present-tone", "search-threshold", "search-ear", "measure-part", "choose-protocol", "change-plan",
    ];

    public static SessionView At(SessionStage stage, long version = 40)
    {
        var reached = stage <= SessionStage.Closed ? stage : SessionStage.Testing;
        var offLine = stage is SessionStage.Paused or SessionStage.LinkLost or SessionStage.Stopped;
        return new SessionView(
            Session,
            version,
            30,
            HubTime,
            new PersonTested("P-0107", "Edda Sorrel", new DateOnly(1951, 3, 2), "Trouble hearing in company; family asks for a test"),
            "At home, kit posted",
            HubTime.AddMinutes(-30),
            new KitPresence(new KitId("kit-01"), stage != SessionStage.LinkLost),
            stage,
            offLine ? SessionStage.Testing : null,
            Reason(stage),
            stage == SessionStage.Scheduled ? new ControlView(0, null, null) : new ControlView(1, "p-1", "Maren Toft"),
            Needs(stage),
            Moves(stage),
            null,
            reached >= SessionStage.Testing ? Thresholds() : [],
            [],
            reached >= SessionStage.Testing ? Averages() : [],
            reached > SessionStage.RoomNoise ? Room() : null,
            reached > SessionStage.RoomNoise ? "Kitchen fan cannot be switched off; low levels at 125 and 250 Hz given up." : null,
            reached > SessionStage.KitCheck ? KitCheck(passed: true) : null,
            reached > SessionStage.SideProof ? Sides(allRight: true) : null,
            reached > SessionStage.EarLook ? [new RecordEarLook(Ear.Right, EarFinding.Clear, true, null), new RecordEarLook(Ear.Left, EarFinding.SomeWax, true, null)] : [],
            reached > SessionStage.Identity ? Identity() : null,
            reached > SessionStage.Consent ? Consent() : [],
            reached > SessionStage.Review ? Review() : null,
            reached > SessionStage.Handoff ? new RecordHandoff("Your hearing is weaker for high, soft sounds.", "Maren calls on Thursday about a visit.", true) : null,
            null,
            false,
            reached >= SessionStage.Consent ? [new NoteView(HubTime.AddMinutes(-20), "Maren Toft", "Daughter sits beside, will help with the earphones.")] : [],
            [.. Enumerable.Range(1, 12).Select(number => new TimelineEntry(number, HubTime.AddMinutes(-30 + number), $"Something happened, number {number}"))],
            new IntegrityView(true, null));
    }

    public static SessionView Without(this SessionView view, string move, string whyNot) =>
        view with { Moves = [.. view.Moves.Select(kept => kept.Name == move ? new Move(move, false, whyNot) : kept)] };

    public static SessionView With(this SessionView view, params string[] moves) =>
        view with { Moves = [.. view.Moves.Select(kept => moves.Contains(kept.Name) ? new Move(kept.Name, true, null) : kept)] };

    public static StepView Search(Ear ear, IReadOnlyList<int> frequencies, int trials, StepEnding? ending = null, string? reason = null) => new(
        Step,
        new SearchEarStep(ear, frequencies, StoppingRule.TwoOfThree, ToneShape.Pulsed),
        true,
        ending,
        null,
        reason,
        [.. Enumerable.Range(1, trials).Select(number => Trial(number, ear, frequencies[0], 50 - (5 * (number % 4)), number % 3 == 0 ? TrialVerdict.NotHeard : TrialVerdict.Heard))]);

    public static TrialRecord Trial(int number, Ear ear, int hertz, double level, TrialVerdict verdict, string? voidReason = null) => new(
        number,
        ear,
        hertz,
        level,
        verdict is TrialVerdict.FalseResponse or TrialVerdict.CorrectSilence ? TrialKind.Catch : TrialKind.Tone,
        ToneShape.Pulsed,
        true,
        1000 * number,
        1500,
        verdict,
        verdict == TrialVerdict.Heard ? 420 : null,
        0,
        voidReason,
        []);

    public static ThresholdRecord Threshold(Ear ear, int hertz, ThresholdOutcome outcome, IReadOnlyList<TrialRecord>? trials = null) =>
        new(StepId.From(new Guid("018f2b00-0000-7000-8000-0000000000bb")), ear, hertz, outcome, StoppingRule.TwoOfThree, trials ?? [], Gear, 10);

    public static KitCheckResult KitCheck(bool passed) => new(
        [
            new KitCheckLine("certificate", "Calibration certificate", passed, passed ? "INV-3391, valid until 30 Aug 2031" : "INV-2870 ended on 1 Feb 2031", passed ? null : "Send the kit to the laboratory and use another one."),
            new KitCheckLine("serials", "Serial numbers", true, "AU-1140 with CE-2207, as on the certificate", null),
            new KitCheckLine("microphone", "Room microphone", true, "Answers; own noise 21 dB(A)", null),
        ],
        Gear,
        new DateOnly(2031, 8, 30));

    public static RoomResult Room()
    {
        double[] bands = [31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000];
        return new RoomResult(
            [.. bands.Select((band, index) => new BandLevel(band, 52 - (index * 1.6) + (band is 125 ? 16 : band is 250 ? 12 : 0)))],
            [.. bands.Select((band, index) => new BandLevel(band, 57 - (index * 1.6) + (band is 125 ? 18 : band is 250 ? 14 : 0)))],
            [new(125, 35, true, 125), new(250, 25, true, 250), new(500, 15, true, 250), new(750, -10, true, 800), new(1000, -10, true, 1000), new(2000, -10, true, 2000), new(4000, -10, true, 4000), new(8000, 0, false, 8000)],
            10);
    }

    public static SideProofResult Sides(bool allRight) => new(
        [new(Ear.Right, Ear.Right), new(Ear.Left, Ear.Left), new(Ear.Left, allRight ? Ear.Left : Ear.Right), new(Ear.Right, Ear.Right), new(Ear.Left, allRight ? Ear.Left : null), new(Ear.Right, Ear.Right)]);

    public static BoardView Board(params SessionStage[] stages) => new(
        HubTime,
        [.. stages.Select((stage, index) => new SessionRow(index == 0 ? Session : SessionId.From(new Guid($"018f2b00-0000-7000-8000-0000000001{index:00}")), HubTime.AddMinutes(45 * index), At(stage).Person with { Name = index == 0 ? "Edda Sorrel" : $"Person {index + 1}" }, "At home, kit posted", new KitPresence(new KitId($"kit-0{(index % 3) + 1}"), index % 2 == 0), stage, stage == SessionStage.Scheduled ? null : "Maren Toft"))],
        [
            new KitRow(new KitId("kit-01"), "loan kit, circumaural earphones", "With Edda Sorrel's daughter", true, HubTime, true, "0.1.0"),
            new KitRow(new KitId("kit-02"), "travelling set, insert earphones", "Office shelf", false, HubTime.AddDays(-2), true, "0.1.0"),
            new KitRow(new KitId("kit-03"), "loan kit, supra-aural earphones", "Not yet sent out", false, null, false, null),
        ]);

    private static string? Reason(SessionStage stage) => stage switch
    {
        SessionStage.Paused => "Held by Maren Toft: a lorry outside",
        SessionStage.LinkLost => "The kit has not been heard from since 09:29",
        SessionStage.Stopped => "Stop was pressed at the site",
        SessionStage.Aborted => "The person felt unwell",
        SessionStage.Converted => "Turned into a visit: both ears are blocked by wax",
        _ => null,
    };

    private static IReadOnlyList<GateNeed> Needs(SessionStage stage) => stage switch
    {
        SessionStage.Connecting => [new("kit-online", "The kit is online", Supplier.Kit, true, null), new("assistant-ready", "The site says it is ready", Supplier.Assistant, false, null)],
        SessionStage.Identity => [new("identity", "Who is there and where", Supplier.Clinician, false, null)],
        SessionStage.Consent => [new("consent-care", "Consent to the test", Supplier.Clinician, false, null), new("consent-remote", "Consent to doing it at a distance", Supplier.Clinician, false, null)],
        SessionStage.KitCheck => [new("kit-check", "The kit's check has passed", Supplier.Kit, false, "not done yet"), new("unpacked", "The kit is unpacked and switched on", Supplier.Assistant, true, null)],
        SessionStage.RoomNoise => [new("room", "The room is measured", Supplier.Kit, false, null)],
        SessionStage.EarLook => [new("ear-right", "A decision on the right ear", Supplier.Clinician, true, "clear, may be covered"), new("ear-left", "A decision on the left ear", Supplier.Clinician, false, null)],
        SessionStage.SideProof => [new("sides", "All sides named right", Supplier.PersonTested, false, "4 tones at least")],
        SessionStage.Testing => [new("threshold", "At least one threshold", Supplier.Kit, true, "13 measured")],
        SessionStage.Review => [new("review", "Every warning sign answered", Supplier.Clinician, false, null)],
        SessionStage.Handoff => [new("handoff", "The key message and the next step", Supplier.Clinician, false, null)],
        _ => [],
    };

    private static IReadOnlyList<Move> Moves(SessionStage stage)
    {
        var own = stage switch
        {
            SessionStage.Scheduled => ["take-control", "add-note"],
            SessionStage.Identity => ["confirm-identity"],
            SessionStage.Consent => ["answer-consent", "ask-consent-on-screen"],
            SessionStage.KitCheck => ["check-kit"],
            SessionStage.RoomNoise => ["measure-room", "accept-room"],
            SessionStage.EarLook => ["record-ear-look"],
            SessionStage.SideProof => ["prove-sides", "accept-sides"],
            SessionStage.Testing => ["present-tone", "search-threshold", "search-ear", "measure-part", "choose-protocol", "change-plan", "advance"],
            SessionStage.Review => ["record-review"],
            SessionStage.Handoff => ["record-handoff"],
            SessionStage.Paused or SessionStage.Stopped => (string[])["resume"],
            _ => [],
        };
        string[] always = stage is > SessionStage.Scheduled and not (SessionStage.Closed or SessionStage.Aborted or SessionStage.Converted)
            ? ["release-control", "withdraw-consent", "step-back", "hold", "add-note", "say-on-screen", "abort", "convert"]
            : [];
        return [.. _commands.Select(name => new Move(name, own.Contains(name) || always.Contains(name), own.Contains(name) || always.Contains(name) ? null : WhyNot(name)))];
    }

    private static string WhyNot(string name) => name switch
    {
        "cut-step" => "No step is running.",
        "advance" => "Something this stage needs is still missing.",
        _ => "Not at this stage.",
    };

    private static List<ThresholdRecord> Thresholds() =>
    [
        Threshold(Ear.Right, 1000, new ThresholdOutcome.Established(35), [Trial(1, Ear.Right, 1000, 35, TrialVerdict.Heard), Trial(2, Ear.Right, 1000, 35, TrialVerdict.CorrectSilence), Trial(3, Ear.Right, 1000, 25, TrialVerdict.NotHeard)]),
        Threshold(Ear.Right, 2000, new ThresholdOutcome.Established(45)),
        Threshold(Ear.Right, 4000, new ThresholdOutcome.Established(65)),
        Threshold(Ear.Right, 8000, new ThresholdOutcome.NoResponseAtLimit(90)),
        Threshold(Ear.Right, 500, new ThresholdOutcome.Established(25)),
        Threshold(Ear.Right, 250, new ThresholdOutcome.NoiseLimited(25)),
        Threshold(Ear.Left, 1000, new ThresholdOutcome.Established(30)),
        Threshold(Ear.Left, 2000, new ThresholdOutcome.Established(40)),
        Threshold(Ear.Left, 4000, new ThresholdOutcome.NotEstablished("The search did not settle within its presentations.")),
        Threshold(Ear.Left, 500, new ThresholdOutcome.Established(20)),
    ];

    private static AverageView[] Averages() =>
    [
        new(Ear.Right, "PTA 0.5-1-2", 35, null),
        new(Ear.Right, "PTA 0.5-1-2-4", 42.5, null),
        new(Ear.Left, "PTA 0.5-1-2", 30, null),
        new(Ear.Left, "PTA 0.5-1-2-4", null, "no threshold at 4000 Hz"),
    ];

    public static StartCardView Identity(string? again = null) => new(
        new StartCard(
            [new SpokenIdentifier(IdentifierKind.FullName, "Edda Sorrel"), new SpokenIdentifier(IdentifierKind.BirthDate, "1951-03-02")],
            "Birch Lane 4, ground floor, Upper Fernhill",
            "CA-NS",
            "555 0142",
            "112",
            "Ilse Sorrel, daughter, 555 0177",
            "Edda and Ilse Sorrel",
            "alone",
            true,
            true,
            null,
            null),
        HubTime.AddMinutes(-25),
        "Maren Toft",
        RegistrationStanding.Matches,
        new RegistrationShown("CA-NS", "A-1042", "Audiologist", new DateOnly(2031, 12, 31)),
        again);

    public static IReadOnlyList<ConsentEntry> Consent(params ConsentPurpose[] given) =>
    [
        .. ConsentPurposes.All.Where(purpose => purpose is not ConsentPurpose.Loan).Select(purpose => new ConsentEntry(
            purpose,
            purpose is ConsentPurpose.Care or ConsentPurpose.RemoteMode || given.Contains(purpose) ? ConsentStanding.Given : ConsentStanding.Declined,
            new ConsentTextShown("2", "en", null),
            ConsentParty.Themself,
            ConsentMeans.Spoken,
            true,
            true,
            9,
            HubTime.AddMinutes(-15),
            "Maren Toft")),
    ];

    /// <summary>A text for every purpose: two versions in English, one in Spanish.</summary>
    public static IReadOnlyList<KeptConsentText> ConsentTexts() =>
    [
        .. ConsentPurposes.All.SelectMany(purpose => new[] { ("en", 1), ("en", 2), ("es", 1) }.Select(key =>
            new KeptConsentText(new ConsentText(purpose, key.Item1, key.Item2, $"{purpose} {key.Item1} {key.Item2}?", "First.\n\nSecond.", "I agree", "I do not agree", "I no longer agree"), HubTime, key.Item2 == 1 ? null : "Pella Ordway"))),
    ];

    private static RecordReview Review() =>
        new([.. WarningSigns.All.Select(sign => new WarningAnswer(sign.Code, false, WarningAction.NoneNeeded))], "Good: the repeat at 1000 Hz agreed.", "Loss of high tones in both ears, more on the right.");
}
