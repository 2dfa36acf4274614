using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Protocols;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Rights;

/// <summary>Sessions, what is recorded of them, and protocols. Results are seen by clinicians and the owner alone.</summary>
internal static class SessionRows
{
    private const Parties Seeing = Parties.Clinician | Parties.Owner;

    public static IReadOnlyList<RightsRow> Rows { get; } =
    [
        new(
            "Connect a console",
            Parties.Clinician | Parties.Coordinator | Parties.Owner,
            Door.Http("*", Protocol.ConsoleHubPath),
            Door.Http("*", Protocol.ConsoleHubPath + "/negotiate")) { WhileLocked = true },
        new(
            "See the start page",
            Parties.Clinician | Parties.Coordinator | Parties.Owner,
            Door.Http("GET", "/api/board"),
            Door.Method<ConsoleHub>(nameof(IConsoleHub.WatchBoard)),
            Door.Request<WatchBoardQuery>()) { Trail = Trail.Before },
        new(
            "Watch a session",
            Seeing,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.WatchSession)),
            Door.Request<WatchSessionQuery>()) { Trail = Trail.Before },
        new("Stop watching a session", Seeing, Door.Method<ConsoleHub>(nameof(IConsoleHub.LeaveSession))) { WhileLocked = true },
        new(
            "Run a session",
            Parties.Clinician,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.Ask)),
            Door.Request<AskCommand>(),
            Door.Command<TakeControl>(),
            Door.Command<ReleaseControl>(),
            Door.Command<ConfirmIdentity>(),
            Door.Command<AnswerConsent>(),
            Door.Command<AskConsentOnScreen>(),
            Door.Command<DeclareRecording>(),
            Door.Command<WithdrawConsent>(),
            Door.Command<RecordEarLook>(),
            Door.Command<AcceptRoom>(),
            Door.Command<AcceptSides>(),
            Door.Command<OrderStep>(),
            Door.Command<ChooseProtocol>(),
            Door.Command<ChangePlan>(),
            Door.Command<Advance>(),
            Door.Command<StepBack>(),
            Door.Command<Resume>(),
            Door.Command<AddNote>(),
            Door.Command<SayOnScreen>(),
            Door.Command<RecordReview>(),
            Door.Command<RecordHandoff>(),
            Door.Command<Abort>(),
            Door.Command<ConvertSession>()) { Trail = Trail.Follows },
        new("Silence a session: cut what is running, put it on hold", Parties.Clinician, Door.Command<CutStep>(), Door.Command<Hold>()) { WhileLocked = true, Trail = Trail.Follows },
        new(
            "Download a session's record and its events",
            Seeing,
            Door.Http("GET", "/api/sessions/{id:guid}/record"),
            Door.Http("GET", "/api/sessions/{id:guid}/events")) { Trail = Trail.Before },
        new(
            "Read the texts consent is asked by",
            Seeing | Parties.Coordinator,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.ReadConsentTexts)),
            Door.Request<ReadConsentTexts>()) { Trail = Trail.Before },
        new(
            "Read the clinic's protocols, and have one in a file looked at",
            Seeing,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.ReadProtocols)),
            Door.Method<ConsoleHub>(nameof(IConsoleHub.HandInProtocol)),
            Door.Request<ReadProtocols>()) { Trail = Trail.Before },
        new("Keep a new version of a protocol", Seeing, Door.Request<HandInProtocol>()) { NeedsConfirmation = true, Trail = Trail.Before },
    ];
}
