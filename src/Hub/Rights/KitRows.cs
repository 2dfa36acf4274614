using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Rights;

/// <summary>Kits and what is in them.</summary>
internal static class KitRows
{
    /// <summary>Those who look after kits. A clinician on the road does too.</summary>
    private const Parties Care = Parties.Coordinator | Parties.Clinician | Parties.Owner;

    /// <summary>Those who answer for the kits.</summary>
    private const Parties Answering = Parties.Coordinator | Parties.Owner;

    public static IReadOnlyList<RightsRow> Rows { get; } =
    [
        new(
            "See the kit board, its timeline and a kit's page",
            Care,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.WatchKitBoard)),
            Door.Method<ConsoleHub>(nameof(IConsoleHub.ReadKitTimeline)),
            Door.Method<ConsoleHub>(nameof(IConsoleHub.WatchKit)),
            Door.Request<WatchKitBoardQuery>(),
            Door.Request<ReadKitTimeline>(),
            Door.Request<WatchKitQuery>()) { Trail = Trail.Before },
        new("Stop watching a kit", Care, Door.Method<ConsoleHub>(nameof(IConsoleHub.LeaveKit))) { WhileLocked = true },
        new(
            "Record what happens to a kit: its way, counts, checks, cleaning, moves, holds placed",
            Care,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.AskKit)),
            Door.Request<AskKitCommand>(),
            Door.Command<RecordBaseline>(),
            Door.Command<RecordKnownEar>(),
            Door.Command<RecordFunctionCheck>(),
            Door.Command<RecordMove>(),
            Door.Command<ReleaseKit>(),
            Door.Command<PlaceHold>(),
            Door.Command<SignLoanPaper>(),
            Door.Command<WithdrawLoanConsent>(),
            Door.Command<TakeReminderStep>(),
            Door.Command<PackKit>(),
            Door.Command<StageKit>(),
            Door.Command<SendKit>(),
            Door.Command<RecordCarrier>(),
            Door.Command<CheckInKit>(),
            Door.Command<PackUpKit>(),
            Door.Command<ReceiveKit>(),
            Door.Command<QuarantineKit>(),
            Door.Command<BeginCleaning>(),
            Door.Command<SignTurnaround>(),
            Door.Command<SendToRepair>(),
            Door.Command<FinishRepair>(),
            Door.Command<SendToLaboratory>(),
            Door.Command<TakeFromLaboratory>(),
            Door.Command<ReportParcelMissing>(),
            Door.Command<ReportKitGone>(),
            Door.Command<ReportKitFound>(),
            Door.Command<CorrectEntry>(),
            Door.Command<SetContents>(),
            Door.Command<CountKit>()) { Trail = Trail.Follows },
        new(
            "Take a kit into service or out of it, and say on a kit's page which loan it goes to and for how long",
            Answering,
            Door.Command<CommissionKit>(),
            Door.Command<RetireKit>(),
            Door.Command<ReserveKit>(),
            Door.Command<CallOffLoan>(),
            Door.Command<ExtendLoan>()) { Trail = Trail.Follows },
        new("Lift a hold of a kit", Answering, Door.Command<LiftHold>()) { NeedsConfirmation = true, Trail = Trail.Follows },
        new(
            "Look at a session again after a failed check, and take a known ear from one",
            Parties.Clinician | Parties.Owner,
            Door.Command<ReviewSession>(),
            Door.Command<RecordBaseline>(KitDoors.FromSession),
            Door.Command<RecordKnownEar>(KitDoors.FromSession)) { Trail = Trail.Follows },
        new("Take a kit's key away", Answering, Door.Http("POST", "/api/kits/{id}/revoke")) { Trail = Trail.Before, NeedsConfirmation = true },
        new("Make a code with which a kit enrols anew", Answering, Door.Http("POST", "/api/kits/{id}/enrolment-code")) { Trail = Trail.Before, NeedsConfirmation = true },
        new(
            "See and hand in photos of contents, find a label, print labels, take out the kits as a file",
            Care,
            Door.Http("POST", "/api/kits/{id}/photos"),
            Door.Http("GET", "/api/kits/{id}/photos/{photo}"),
            Door.Http("GET", ScanReply.Path),
            Door.Http("GET", "/papers/labels"),
            Door.Http("GET", ImportReply.ExportPath)) { Trail = Trail.Before },
        new("Bring in kits as a file", Answering, Door.Http("POST", ImportReply.Path)) { Trail = Trail.Before },
        new("Take out a kit's history as events", Care, Door.Http("GET", "/api/kits/{id}/epcis")) { Trail = Trail.Before },
        new("Bring in events of carriers and partners", Answering, Door.Http("POST", EpcisReply.Path)) { Trail = Trail.Before },
    ];
}
