using System.Collections.Immutable;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>What the facts of a kit come to.</summary>
internal sealed partial record KitState(KitId KitId)
{
    /// <summary>Number of facts.</summary>
    public long Version { get; init; }

    /// <summary>Time of the last fact.</summary>
    public DateTimeOffset? LastAt { get; init; }

    /// <summary>First fact that was changed or taken away from outside, as seen when the facts were read; absent when all are whole.</summary>
    public long? BrokenAt { get; init; }

    /// <summary>Gear as the kit told it last; absent while it never did.</summary>
    public KitGear? Gear { get; init; }

    /// <summary>Calibrations it told, oldest first.</summary>
    public IReadOnlyList<KnownCalibration> Calibrations { get; init; } = [];

    /// <summary>Newest baseline of each person.</summary>
    public IReadOnlyList<(DateTimeOffset At, BaselineRecorded Fact)> Baselines { get; init; } = [];

    /// <summary>Known-ear checks, oldest first.</summary>
    public IReadOnlyList<(DateTimeOffset At, KnownEarChecked Fact)> KnownEarChecks { get; init; } = [];

    /// <summary>A failed known-ear check that still counts: not yet followed by a newer calibration made on that day or later, nor by a good check of another person.</summary>
    public (DateTimeOffset At, KnownEarChecked Fact)? KnownEarFailure { get; init; }

    /// <summary>Function checks, oldest first.</summary>
    public IReadOnlyList<(DateTimeOffset At, FunctionChecked Fact)> FunctionChecks { get; init; } = [];

    /// <summary>Last left/right proof that passed in a session.</summary>
    public (DateTimeOffset At, SidesProven Fact)? Sides { get; init; }

    /// <summary>Last move.</summary>
    public (DateTimeOffset At, KitMoved Fact)? Site { get; init; }

    /// <summary>When the last move or the last end of a loan was.</summary>
    public DateTimeOffset? MovedAt { get; init; }

    /// <summary>Look-backs, oldest first, with the number each is known by.</summary>
    public IReadOnlyList<(long Number, DateTimeOffset At, LookBackOpened Fact)> LookBacks { get; init; } = [];

    /// <summary>Newest review of each session of each look-back.</summary>
    public IReadOnlyDictionary<(long LookBack, SessionId SessionId), (DateTimeOffset At, SessionReviewed Fact)> Reviews { get; init; } =
        new Dictionary<(long, SessionId), (DateTimeOffset, SessionReviewed)>();

    /// <summary>Every fact, oldest first.</summary>
    public ImmutableList<RecordedFact> History { get; init; } = [];

    /// <summary>The calibration in use.</summary>
    public CalibrationRecord? Calibration => Gear?.Calibration;

    /// <summary>What it can play by the calibration in use; absent while it told none.</summary>
    public IReadOnlyList<PlayableLevel>? Playable => PlayableLevels.Of(Calibration, Gear?.BoneVibrator?.Calibration);

    public static KitState Empty(KitId kitId) => new(kitId);

    /// <summary>Sessions of look-backs that nobody has looked at again.</summary>
    public int WaitingForReview() => LookBacks.Sum(list => list.Fact.Sessions.Count(session => !Reviews.ContainsKey((list.Number, session))));
}

/// <summary>A calibration a kit told.</summary>
/// <param name="At">When.</param>
/// <param name="Record">The record.</param>
/// <param name="LargestShiftDb">Largest change against the record before, dB; absent for the first and where nothing can be compared.</param>
internal sealed record KnownCalibration(DateTimeOffset At, CalibrationRecord Record, double? LargestShiftDb);
