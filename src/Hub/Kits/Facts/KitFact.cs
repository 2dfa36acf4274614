using System.Text.Json.Serialization;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>A fact of a kit. Appended once, never changed; a wrong one is put right by a later one.</summary>
internal abstract record KitFact;

/// <summary>A fact with its place and hub time.</summary>
internal sealed record RecordedFact(long Sequence, DateTimeOffset At, KitFact Fact);

/// <summary>A fact this build cannot read. It is carried along: its place and its hash count, its content changes nothing.</summary>
internal sealed record UnreadableFact(string Kind, int Shape, string Payload) : KitFact;

/// <summary>The kit told its gear and calibration, and they differ from what it told before.</summary>
internal sealed record GearReported(KitGear Gear) : KitFact;

/// <summary>A known person's thresholds with this kit while it was known to be right.</summary>
internal sealed record BaselineRecorded(string PersonCode, IReadOnlyList<KnownEarLevel> Levels, Actor By) : KitFact
{
    /// <summary>Session the levels were taken from; absent when they were entered.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public SessionId? From { get; init; }
}

/// <summary>A known-ear check with its outcome and the baseline it was held against.</summary>
internal sealed record KnownEarChecked(string PersonCode, IReadOnlyList<KnownEarShift> Shifts, KnownEarVerdict Verdict, string? CertificateId, Actor By) : KitFact
{
    /// <inheritdoc cref="BaselineRecorded.From"/>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public SessionId? From { get; init; }
}

/// <summary>A function check with its answers.</summary>
internal sealed record FunctionChecked(IReadOnlyList<FunctionAnswer> Answers, string? Note, Actor By) : KitFact;

/// <summary>A left/right proof passed with this kit in a session. One that did not pass says more about how the earphones were put on than about the kit, and is no fact of it.</summary>
internal sealed record SidesProven(SessionId SessionId, StepId StepId, int Tones) : KitFact;

/// <summary>The kit is at another place.</summary>
internal sealed record KitMoved(string Place, double? PressureKPa, Actor By) : KitFact;

/// <summary>A loan began or was planned.</summary>
internal sealed record LoanBegun(DateOnly From, DateOnly To, string Place, Actor By) : KitFact;

/// <summary>The loan is over or was called off.</summary>
internal sealed record LoanEnded(Actor By) : KitFact;

/// <summary>A check failed: these sessions since the last good one are to be looked at again. The list stays as it was made.</summary>
internal sealed record LookBackOpened(string Reason, DateTimeOffset? Since, IReadOnlyList<SessionId> Sessions) : KitFact;

/// <summary>A session of a look-back was looked at again.</summary>
internal sealed record SessionReviewed(long LookBack, SessionId SessionId, string Note, Actor By) : KitFact;
