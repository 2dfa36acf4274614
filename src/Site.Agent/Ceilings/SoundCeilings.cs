using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Ceilings;

/// <summary>What a presentation is allowed to be on this kit: calibration, the kit's own ceilings, the hub's lower one, and the rise since the last presentation.</summary>
/// <remarks>Used by the step loop alone. After a restart the last presentation is unknown, and only the free range is open.</remarks>
internal sealed class SoundCeilings(Gear gear, TimeProvider time)
{
    private SessionId? _session;
    private double? _previousDbHl;

    /// <summary>The kit.</summary>
    public Gear Gear => gear;

    /// <summary>What forbids any sound at all; absent when nothing does.</summary>
    public Refusal? CalibrationFault() => gear.Faults(time) is [var first, ..] ? ToRefusal(first) : null;

    /// <summary>The peak amplitude of a presentation, or why it is not made.</summary>
    /// <param name="order">Order it belongs to.</param>
    /// <param name="ear">Ear.</param>
    /// <param name="frequency">Frequency.</param>
    /// <param name="level">Level.</param>
    /// <param name="durationMs">Length in ms.</param>
    public AllowedSound Check(StepOrder order, Ear ear, AudiometricFrequency frequency, HearingLevel level, double durationMs)
    {
        if (CalibrationFault() is { } fault)
        {
            return new AllowedSound(fault, 0);
        }

        if (level.Decibels < HearingLevels.LowestPresentedDbHl)
        {
            return new AllowedSound(new Refusal(RefusalCodes.Invalid, $"{level} is below the lowest level of {HearingLevels.LowestPresentedDbHl} dB HL.", "Ask for a higher level."), 0);
        }

        if (!(level.Decibels <= order.MaximumLevelDbHl))
        {
            return new AllowedSound(new Refusal(RefusalCodes.OverCeiling, $"{level} is over the {order.MaximumLevelDbHl} dB HL allowed for this step.", "Ask for a lower level."), 0);
        }

        var previous = _session == order.SessionId ? _previousDbHl : null;
        // The hub orders more than 100 dB HL only after the clinician has confirmed it.
        var request = new PresentationRequest(gear.Kit.TransducerKind, frequency, level, durationMs) { LoudConfirmed = order.MaximumLevelDbHl > HearingLevels.LoudAboveDbHl };
        if (gear.Kit.Ceilings.Check(request, previous) is { } over)
        {
            return new AllowedSound(ToRefusal(over), 0);
        }

        return LevelChain.Resolve(gear.Calibration!, ear, frequency, level) switch
        {
            LevelResult.Playable playable => new AllowedSound(null, playable.PeakAmplitude),
            LevelResult.Refused refused => new AllowedSound(ToRefusal(refused.Fault), 0),
            _ => throw new InvalidOperationException("A level is either playable or refused."),
        };
    }

    /// <summary>The highest level a search may use; absent when nothing may be played there.</summary>
    public double? HighestDbHl(StepOrder order, Ear ear, AudiometricFrequency frequency) =>
        gear.Calibration is { } calibration
        && LevelChain.HighestPlayableDbHl(calibration, ear, frequency) is { } playable
        && gear.Kit.Ceilings.HighestFor(gear.Kit.TransducerKind, frequency) is { } ceiling
            ? HearingLevels.RoundDownToStep(Math.Min(Math.Min(playable, ceiling), order.MaximumLevelDbHl))
            : null;

    /// <summary>What a result names as the gear that made it; absent without a calibration record.</summary>
    public GearUsed? FindGearUsed() => gear.Calibration is { } calibration
        ? new GearUsed(gear.Kit.TransducerKind, gear.Kit.TransducerSerial, gear.Kit.UnitSerial, calibration.CertificateId)
        : null;

    /// <inheritdoc cref="FindGearUsed"/>
    /// <exception cref="InvalidOperationException">There is no calibration record.</exception>
    public GearUsed GearUsed() => FindGearUsed() ?? throw new InvalidOperationException("A result without a calibration record cannot be.");

    /// <summary>A tone was presented.</summary>
    /// <param name="sessionId">Session.</param>
    /// <param name="level">Level.</param>
    /// <param name="whole">It was heard to its end. One broken off may not have been heard at all, so it never makes room for a louder one.</param>
    public void NotePresented(SessionId sessionId, HearingLevel level, bool whole)
    {
        var previous = _session == sessionId ? _previousDbHl : null;
        (_session, _previousDbHl) = (sessionId, whole ? level.Decibels : previous is { } heard ? Math.Min(heard, level.Decibels) : null);
    }

    private static Refusal ToRefusal(LevelFault fault) => new(fault.Code, fault.Sentence, fault.Mend);
}

/// <summary>Either a refusal or the peak amplitude at which to play.</summary>
internal sealed record AllowedSound(Refusal? Refusal, double PeakAmplitude);
