using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.Start;

namespace TeleHearing.Hub.Sessions.State;

/// <summary>Makes a session's state from its events. Pure and total: every event leads to a state, also one that does not fit.</summary>
internal static partial class SessionFold
{
    public static SessionState Fold(SessionId sessionId, IEnumerable<RecordedEvent> events) =>
        events.Aggregate(SessionState.Empty(sessionId), Apply);

    public static SessionState Apply(SessionState state, RecordedEvent recorded)
    {
        var next = (ChangeOfControl(state, recorded) ?? Change(state, recorded)) with { Consent = ConsentFold.Apply(state.Consent, recorded) };
        var decisive = next.Stage != state.Stage || next.Epoch != state.Epoch || next.Holder != state.Holder;
        return next with
        {
            Version = recorded.Sequence,
            DecisiveVersion = decisive ? recorded.Sequence : state.DecisiveVersion,
            History = next.History.Add(recorded),
        };
    }

    private static SessionState Change(SessionState state, RecordedEvent recorded) => recorded.Event switch
    {
        SessionScheduled e => state with { KitId = e.KitId, PersonReference = e.PersonReference },
        SessionKitChanged e => state with { KitId = e.To },

        StageAdvanced e => Elsewhere(state, e.To),
        StageSteppedBack e => Elsewhere(state, e.To) with { CardsDone = state.CardsDone.Remove(e.To) },
        SessionHeld e => OffLine(state, SessionStage.Paused, e.From, e.Reason, recorded.At),
        SessionStopped e => OffLine(state, SessionStage.Stopped, e.From, StopReason(e), recorded.At),
        LinkWasLost e => OffLine(state, SessionStage.LinkLost, e.From, "The link to the kit was lost.", e.Since ?? recorded.At),
        SessionResumed e => Repeated(Elsewhere(state, e.To), e.Repeat, recorded.Sequence) with { CardAfterGap = state.CardAfterGap || e.CardAgain == true },
        LinkWasRestored e => Repeated(OnLine(state, e.To), e.Repeat, recorded.Sequence) with { CardAfterGap = state.CardAfterGap || e.CardAgain == true },
        SessionAborted e => Elsewhere(state, SessionStage.Aborted) with { StageReason = e.Reason },
        SessionErased e => SessionState.Empty(state.SessionId) with { Stage = e.Stage, KitId = e.KitId, StageReason = "What was recorded about the person was erased.", Erased = true },
        SessionConverted e => Elsewhere(state, SessionStage.Converted) with { StageReason = e.Reason },

        IdentityConfirmed e => state with { Identity = StartCards.Of(e, recorded.At), CardAfterGap = false },
        StartCardConfirmed e => state with { Identity = new ConfirmedCard(e.Card, e.Standing, e.Registration, recorded.At, e.By), CardAfterGap = false },
        ConsentAskedOnScreen e => state with { ConsentAsked = e, LastAskedOnScreen = e },
        ConsentAnswered e => Unasked(state, [e.Purpose]),
        ConsentTakenBack or ConsentWithdrawn => state with { ConsentAsked = null },
        RecordingDeclared e => state with { Recording = e.Runs ? e.What : null },
        EarLookedAt e => state with { EarLooks = state.EarLooks.SetItem(e.Look.Ear, e.Look) },
        RoomAccepted e => state with { RoomAcceptedReason = e.Reason },
        SidesAccepted e => state with { SidesAcceptedReason = e.Reason },
        MessageShown e => state with { Message = e.Text.Length == 0 ? null : e.Text, HelpWanted = state.HelpWanted && e.Text.Length == 0 },
        ReviewRecorded e => state with { Review = e.Review },
        HelpWasCalled => state with { HelpWanted = true },
        CardMarkedDone e => state with { CardsDone = state.CardsDone.Add(e.Stage) },


        // What was decided about another protocol's plan says nothing of this one's; what was begun again stays begun again.
        ProtocolChosen e => state with { Protocol = e.Protocol, PlanOverrides = state.PlanOverrides.RemoveAll(change => change is not PlanOverride.BeginAgain) },
        PlanChanged e => state with { PlanOverrides = state.PlanOverrides.Add(e.Change) },

        StepOrdered e => Ordered(state, e, recorded.Sequence),
        StepCutAsked e => InStep(state, e.StepId, step => step with { CutAsked = true }),
        StepBegan e => InStep(state, e.StepId, step => step with { Started = true }),
        TrialTaken e => InStep(state, e.StepId, step => step with { Started = true, Trials = step.Trials.Add(e.Trial) }),
        ThresholdMeasured e => state with { Thresholds = state.Thresholds.Add(e.Threshold) },
        StepOver e => Over(state, e),

        // Notes and stops live in the history alone; an unreadable event changes nothing.
        _ => state,
    };

    private static SessionState Unasked(SessionState state, IReadOnlyList<ConsentPurpose> answered) => state with
    {
        ConsentAsked = state.ConsentAsked is { } asked && asked.Texts.Where(text => !answered.Contains(text.Purpose)).ToList() is { Count: > 0 } left
            ? asked with { Texts = left }
            : null,
    };

    // A message on the kit screen belongs to the moment it was written in: "we rest" must not stand there when the test goes on.
    private static SessionState Elsewhere(SessionState state, SessionStage to) => OnLine(state, to) with { Message = null, Control = state.Control with { LedBefore = null } };

    private static SessionState OnLine(SessionState state, SessionStage to) =>
        state with { Stage = to, ResumeStage = null, StageReason = null, OffLineSince = null };

    /// <summary>Leaves the main line, or goes from one side state to another; then the stage and the time of leaving stay those of the first leaving.</summary>
    private static SessionState OffLine(SessionState state, SessionStage to, SessionStage from, string? reason, DateTimeOffset at) => state with
    {
        Stage = to,
        StageReason = reason,
        ResumeStage = state.ResumeStage ?? from,
        OffLineSince = state.OffLineSince ?? at,
    };

    private static SessionState Repeated(SessionState state, bool repeat, long sequence) => repeat
        ? state with
        {
            Room = null,
            RoomAcceptedReason = null,
            SideProof = null,
            SidesAcceptedReason = null,
            RepeatedAtVersion = sequence,
            CardsDone = state.CardsDone.Except([SessionStage.RoomNoise, SessionStage.EarLook, SessionStage.SideProof, SessionStage.Testing]),
        }
        : state;

    private static string StopReason(SessionStopped e) => e.Cause switch
    {
        StopCause.Site => "Stop was pressed at the site.",
        StopCause.Consent => "Consent was withdrawn: " + e.Reason,
        _ => e.Reason ?? "Stopped.",
    };
}
