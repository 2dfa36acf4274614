using System.Collections.Immutable;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.Start;

namespace TeleHearing.Hub.Sessions.State;

/// <summary>A session as its events tell it. Immutable; made by <see cref="SessionFold"/> alone.</summary>
internal sealed record SessionState
{
    public required SessionId SessionId { get; init; }

    /// <summary>Sequence of the last event; 0 before the first.</summary>
    public long Version { get; init; }

    /// <summary>Version of the last change of stage or control.</summary>
    public long DecisiveVersion { get; init; }

    public KitId KitId { get; init; }

    public string PersonReference { get; init; } = string.Empty;

    public SessionStage Stage { get; init; } = SessionStage.Scheduled;

    /// <summary>Where it goes on after Paused, LinkLost or Stopped.</summary>
    public SessionStage? ResumeStage { get; init; }

    public string? StageReason { get; init; }

    /// <summary>When the main line was left; null while on it.</summary>
    public DateTimeOffset? OffLineSince { get; init; }

    /// <summary>Rises with every taking of control.</summary>
    public int Epoch { get; init; }

    /// <summary>Who commands; null when nobody does.</summary>
    public Actor? Holder { get; init; }

    /// <summary>Loan, asks and offers of control.</summary>
    public ControlDetail Control { get; init; } = ControlDetail.None;

    /// <summary>Number of the last order.</summary>
    public long LastOrderNumber { get; init; }

    public StepState? Step { get; init; }

    public ImmutableHashSet<StepId> OrderedSteps { get; init; } = [];

    /// <summary>Steps that were one presentation by hand.</summary>
    public ImmutableHashSet<StepId> PresentationsByHand { get; init; } = [];

    /// <summary>Version at which room and side proof last stopped counting; results of steps ordered before count for no gate.</summary>
    public long RepeatedAtVersion { get; init; }

    /// <summary>What the person wears, as the site has marked it; absent while that is not known.</summary>
    public WornGear? Worn { get; init; } = WornGear.Earphones;

    /// <summary>Protocol the session is run by; absent while none is chosen.</summary>
    public TestProtocol? Protocol { get; init; }

    /// <summary>What the clinician decided otherwise, in order.</summary>
    public ImmutableList<PlanOverride> PlanOverrides { get; init; } = [];

    /// <summary>Every threshold, in order of arrival.</summary>
    public ImmutableList<ThresholdRecord> Thresholds { get; init; } = [];

    public RoomResult? Room { get; init; }

    public string? RoomAcceptedReason { get; init; }

    public KitCheckResult? KitCheck { get; init; }

    public SideProofResult? SideProof { get; init; }

    /// <summary>Why a proof that one ear alone answered was accepted.</summary>
    public string? SidesAcceptedReason { get; init; }

    /// <summary>Whether it is known that the earphones are on the right ears.</summary>
    public bool SidesKnown => SideProof is { Passed: true } || (SideProof is not null && SidesAcceptedReason is not null);

    public ImmutableDictionary<Ear, RecordEarLook> EarLooks { get; init; } = ImmutableDictionary<Ear, RecordEarLook>.Empty;

    /// <summary>The start card as last confirmed.</summary>
    public ConfirmedCard? Identity { get; init; }

    /// <summary>Whether a gap longer than the limit came since the card was confirmed.</summary>
    public bool CardAfterGap { get; init; }

    /// <summary>What the person consents to, by purpose; asked at the moment of every use.</summary>
    public ConsentLedger Consent { get; init; } = ConsentLedger.Empty;

    /// <summary>What the kit's screen asks and is not answered yet; absent when it asks nothing.</summary>
    public ConsentAskedOnScreen? ConsentAsked { get; init; }

    /// <summary>What was asked last on the kit's screen, also when it was answered since.</summary>
    public ConsentAskedOnScreen? LastAskedOnScreen { get; init; }

    /// <summary>What is being recorded; absent while no recording runs.</summary>
    public string? Recording { get; init; }

    public RecordReview? Review { get; init; }

    public RecordHandoff? Handoff { get; init; }

    /// <summary>Who owns the next step and has not acknowledged it yet.</summary>
    public HandoffOwner? OpenHandoff { get; init; }

    public string? Message { get; init; }

    public bool HelpWanted { get; init; }

    /// <summary>Stages whose coach card the assistant marked done since it last had to be done.</summary>
    public ImmutableHashSet<SessionStage> CardsDone { get; init; } = [];

    /// <summary>Every event, unreadable ones among them.</summary>
    public ImmutableList<RecordedEvent> History { get; init; } = [];

    /// <summary>Whether what it held was erased: nothing can be sealed for it any more, and nothing is added to its log.</summary>
    public bool Erased { get; init; }

    /// <summary>Whether a step is in hand.</summary>
    public bool StepInHand => Step is { InHand: true };

    public bool IsSafe(Ear ear) => EarLooks.TryGetValue(ear, out var look) && look.SafeToCover;

    public static SessionState Empty(SessionId sessionId) => new() { SessionId = sessionId };
}
