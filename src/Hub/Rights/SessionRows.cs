using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Protocols;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Sessions.Start;

namespace TeleHearing.Hub.Rights;

/// <summary>Sessions, what is recorded of them, and protocols. Results are seen by clinicians and the owner alone.</summary>
internal static class SessionRows
{
    private const Parties Seeing = Parties.Clinician | Parties.Owner;

    public static IReadOnlyList<RightsRow> Rows { get; } =
    [
        new(
            "Connect a console",
            Parties.People,
            Door.Http("*", Protocol.ConsoleHubPath),
            Door.Http("*", Protocol.ConsoleHubPath + "/negotiate")) { WhileLocked = true },
        new(
            "See the start page; an assistant only what is lent to them",
            Parties.People,
            Door.Http("GET", "/api/board"),
            Door.Method<ConsoleHub>(nameof(IConsoleHub.WatchBoard)),
            Door.Request<WatchBoardQuery>()) { Trail = Trail.Before },
        new(
            "Watch a session",
            Seeing,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.WatchSession)),
            Door.Request<WatchSessionQuery>()) { Trail = Trail.Before },
        new(
            "Read what a start card needs: one's own registrations, and people who look alike",
            Parties.Clinician,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.ReadStartCard)),
            Door.Request<ReadStartCard>()) { Trail = Trail.Before },
        new(
            "Watch the session of which a task is lent to oneself, as far as the task needs",
            Parties.Assistant,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.WatchTask)),
            Door.Request<WatchTask>()) { Trail = Trail.Before },
        new(
            "See who control can be handed or lent to, and who may own a next step",
            Seeing,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.ReadColleagues)),
            Door.Request<ReadColleagues>()) { Trail = Trail.Refusals },
        new("Stop watching a session", Seeing | Parties.Assistant, Door.Method<ConsoleHub>(nameof(IConsoleHub.LeaveSession))) { WhileLocked = true },
        new(
            "Ask something of a session, each command by its own row",
            Seeing | Parties.Assistant,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.Ask)),
            Door.Request<AskCommand>()) { Trail = Trail.Follows },
        new(
            "Command a session while in control of it; an assistant only what was lent, for as long as it was lent",
            Parties.Clinician | Parties.Assistant,
            Door.Command<OrderStep>(),
            Door.Command<AddNote>(),
            Door.Command<SayOnScreen>(),
            Door.Command<GiveBackControl>()) { Trail = Trail.Follows },
        new("Say that a handoff is in hand", Seeing, Door.Command<AcknowledgeHandoff>()) { Trail = Trail.Follows },
        new(
            "Run a session, take control of it and hand it over",
            Parties.Clinician,
            Door.Command<TakeControl>(),
            Door.Command<ReleaseControl>(),
            Door.Command<RequestControl>(),
            Door.Command<GrantControl>(),
            Door.Command<DeclineControl>(),
            Door.Command<TakeOverControl>(),
            Door.Command<OfferControl>(),
            Door.Command<AcceptControl>(),
            Door.Command<EndOffer>(),
            Door.Command<LendControl>(),
            Door.Command<ConfirmIdentity>(),
            Door.Command<AnswerConsent>(),
            Door.Command<AskConsentOnScreen>(),
            Door.Command<DeclareRecording>(),
            Door.Command<WithdrawConsent>(),
            Door.Command<RecordEarLook>(),
            Door.Command<AcceptRoom>(),
            Door.Command<AcceptSides>(),
            Door.Command<ChooseProtocol>(),
            Door.Command<ChangePlan>(),
            Door.Command<Advance>(),
            Door.Command<StepBack>(),
            Door.Command<Resume>(),
            Door.Command<RecordReview>(),
            Door.Command<RecordHandoff>(),
            Door.Command<Abort>(),
            Door.Command<ConvertSession>()) { Trail = Trail.Follows },
        new("Say that one is still there while in control", Parties.Clinician | Parties.Assistant, Door.Method<ConsoleHub>(nameof(IConsoleHub.RenewControl))) { WhileLocked = true },
        new("Silence a session while in control: cut what is running, put it on hold", Parties.Clinician | Parties.Assistant, Door.Command<CutStep>(), Door.Command<Hold>()) { WhileLocked = true, Trail = Trail.Follows },
        new("Take a lent task back at once, which cuts what is running", Parties.Clinician, Door.Command<TakeBackControl>()) { WhileLocked = true, Trail = Trail.Follows },
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
