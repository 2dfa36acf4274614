using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Ceilings;

/// <summary>What a presentation is allowed to be on this kit: calibration, the kit's own ceilings, the hub's lower one, and the rise since the last presentation.</summary>
/// <remarks>Used by the step loop alone. After a restart the last presentation is unknown, and only the free range is open.</remarks>
internal sealed class SoundCeilings(Gear gear, TimeProvider time)
{
    /// <summary>Up to this level of a tone of the same sound pressure level a masker may begin out of silence, dB HL (design: as loud as a raised voice, which startles nobody; a masker begins higher than a tone must).</summary>
    public const double FreeMaskerDbHl = 70;

    private SessionId? _session;
    private double? _previousDbHl;
    private readonly Dictionary<Ear, double> _previousMaskers = [];

    /// <summary>The kit.</summary>
    public Gear Gear => gear;

    /// <summary>What forbids any sound at all; absent when nothing does.</summary>
    public Refusal? CalibrationFault() => gear.Faults(time) is [var first, ..] ? ToRefusal(first) : null;

    /// <summary>What forbids any sound by a route; absent when nothing does.</summary>
    public Refusal? CalibrationFault(ConductionRoute route) =>
        route == ConductionRoute.Air ? CalibrationFault() : gear.BoneFaults(time) is [var first, ..] ? ToRefusal(first) : null;

    /// <summary>The peak amplitude of a presentation, or why it is not made.</summary>
    /// <param name="order">Order it belongs to.</param>
    /// <param name="ear">Ear.</param>
    /// <param name="frequency">Frequency.</param>
    /// <param name="level">Level.</param>
    /// <param name="durationMs">Length in ms.</param>
    /// <param name="route">How the tone reaches the ear.</param>
    public AllowedSound Check(StepOrder order, Ear ear, AudiometricFrequency frequency, HearingLevel level, double durationMs, ConductionRoute route = ConductionRoute.Air)
    {
        if (CalibrationFault(route) is { } fault)
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
        var request = new PresentationRequest(KindOf(route), frequency, level, durationMs) { LoudConfirmed = order.MaximumLevelDbHl > HearingLevels.LoudAboveDbHl };
        if (gear.Kit.Ceilings.Check(request, previous) is { } over)
        {
            return new AllowedSound(ToRefusal(over), 0);
        }

        return LevelChain.Resolve(RecordOf(route)!, route, ear, frequency, level) switch
        {
            LevelResult.Playable playable when route != ConductionRoute.Air && InAnEarphone(ear, frequency, playable.PeakAmplitude) > SafeInAnEarphone(order, frequency) => new AllowedSound(
                new Refusal(RefusalCodes.OverCeiling, $"{level} by bone would be louder than allowed if an earphone were still plugged in where the vibrator belongs.", "Ask for a lower level, or confirm a loud one once the plug was looked at."), 0),
            LevelResult.Playable playable => new AllowedSound(null, playable.PeakAmplitude),
            LevelResult.Refused refused => new AllowedSound(ToRefusal(refused.Fault), 0),
            _ => throw new InvalidOperationException("A level is either playable or refused."),
        };
    }

    /// <summary>The root mean square of a masker, or why it is not played.</summary>
    /// <remarks>Held against the same ceilings as a tone of the same sound pressure level, the hub's among them, and never above what the calibration vouches for.</remarks>
    /// <param name="order">Order it belongs to.</param>
    /// <param name="ear">Ear that is masked.</param>
    /// <param name="frequency">Middle of its band.</param>
    /// <param name="levelDbEm">Effective masking level, dB.</param>
    public AllowedMasker CheckMasker(StepOrder order, Ear ear, AudiometricFrequency frequency, double levelDbEm)
    {
        if (CalibrationFault() is { } fault)
        {
            return AllowedMasker.Not(fault);
        }

        if (!(levelDbEm >= HearingLevels.LowestPresentedDbHl))
        {
            return AllowedMasker.Not(new Refusal(RefusalCodes.Invalid, $"A masker of {levelDbEm} dB is below the lowest level of {HearingLevels.LowestPresentedDbHl} dB.", "Ask for a higher masker, or for none."));
        }

        var confirmed = order.MaximumLevelDbHl > HearingLevels.LoudAboveDbHl;
        if (levelDbEm > MaskingLevels.LoudAboveDbEm && !confirmed)
        {
            return AllowedMasker.Not(new Refusal(RefusalCodes.NotConfirmedLoud, $"A masker of {levelDbEm} dB of effective masking is above {MaskingLevels.LoudAboveDbEm} dB and was not confirmed.", "Confirm that so loud a noise is meant, then ask again."));
        }

        return NoiseLevelChain.Masker(gear.Calibration!, ear, frequency, HearingLevel.FromDecibels(levelDbEm)) switch
        {
            LevelResult.PlayableNoise noise when OverCeiling(order, ear, frequency, noise.CeilingLevel, confirmed) is { } over => AllowedMasker.Not(over),
            LevelResult.PlayableNoise noise => new AllowedMasker(null, noise.Rms, noise.CeilingLevel),
            LevelResult.Refused refused => AllowedMasker.Not(ToRefusal(refused.Fault)),
            _ => throw new InvalidOperationException("A noise is either playable or refused."),
        };
    }

    /// <summary>The highest level a search may use; absent when nothing may be played there.</summary>
    public double? HighestDbHl(StepOrder order, Ear ear, AudiometricFrequency frequency, ConductionRoute route = ConductionRoute.Air)
    {
        if (RecordOf(route) is not { } calibration
            || LevelChain.HighestPlayableDbHl(calibration, route, ear, frequency) is not { } playable
            || gear.Kit.Ceilings.HighestFor(KindOf(route), frequency) is not { } ceiling)
        {
            return null;
        }

        var highest = HearingLevels.RoundDownToStep(Math.Min(Math.Min(playable, ceiling), order.MaximumLevelDbHl));
        while (route != ConductionRoute.Air && highest >= HearingLevels.LowestPresentedDbHl
            && LevelChain.Resolve(calibration, route, ear, frequency, HearingLevel.FromDecibels(highest)) is LevelResult.Playable sound
            && InAnEarphone(ear, frequency, sound.PeakAmplitude) > SafeInAnEarphone(order, frequency))
        {
            highest -= HearingLevels.StepDb;
        }

        return highest;
    }

    /// <summary>How loud a signal meant for the vibrator would be in the earphone of that channel, dB HL: nothing senses which of them is plugged in.</summary>
    private double InAnEarphone(Ear ear, AudiometricFrequency frequency, double peakAmplitude) =>
        gear.Calibration is { } record && record.Find(ear, frequency) is { } entry && ReferenceThresholds.TryGet(record.TransducerKind, record.Coupler, frequency, out var threshold)
            ? entry.SplAtFullScaleDb + (20 * Math.Log10(peakAmplitude)) - threshold
            : double.NegativeInfinity;

    private double SafeInAnEarphone(StepOrder order, AudiometricFrequency frequency) =>
        Math.Min(gear.Kit.Ceilings.HighestFor(gear.Kit.TransducerKind, frequency) ?? HearingLevels.LoudAboveDbHl, order.MaximumLevelDbHl);

    /// <summary>What a result names as the gear that made it; absent without a calibration record.</summary>
    public GearUsed? FindGearUsed(ConductionRoute route = ConductionRoute.Air) => RecordOf(route) is { } calibration
        ? new GearUsed(KindOf(route), route == ConductionRoute.Air ? gear.Kit.TransducerSerial : calibration.TransducerSerial, gear.Kit.UnitSerial, calibration.CertificateId)
        : null;

    /// <inheritdoc cref="FindGearUsed"/>
    /// <exception cref="InvalidOperationException">There is no calibration record.</exception>
    public GearUsed GearUsed(ConductionRoute route = ConductionRoute.Air) => FindGearUsed(route) ?? throw new InvalidOperationException("A result without a calibration record cannot be.");

    /// <summary>A tone was presented.</summary>
    /// <param name="sessionId">Session.</param>
    /// <param name="level">Level.</param>
    /// <param name="whole">It was heard to its end. One broken off may not have been heard at all, so it never makes room for a louder one.</param>
    public void NotePresented(SessionId sessionId, HearingLevel level, bool whole)
    {
        Enter(sessionId);
        _previousDbHl = whole ? level.Decibels : _previousDbHl is { } heard ? Math.Min(heard, level.Decibels) : null;
    }

    /// <summary>A masker was presented.</summary>
    /// <param name="sessionId">Session.</param>
    /// <param name="ear">Ear it was in.</param>
    /// <param name="ceilingLevel">Level of a tone of the same sound pressure level.</param>
    /// <param name="whole">It was heard to its end; see <see cref="NotePresented"/>.</param>
    public void NoteMasked(SessionId sessionId, Ear ear, HearingLevel ceilingLevel, bool whole)
    {
        Enter(sessionId);
        if (whole)
        {
            _previousMaskers[ear] = ceilingLevel.Decibels;
        }
    }

    private void Enter(SessionId sessionId)
    {
        if (_session != sessionId)
        {
            (_session, _previousDbHl) = (sessionId, null);
            _previousMaskers.Clear();
        }
    }

    private Refusal? OverCeiling(StepOrder order, Ear ear, AudiometricFrequency frequency, HearingLevel asTone, bool confirmed)
    {
        if (!(asTone.Decibels <= order.MaximumLevelDbHl))
        {
            return new Refusal(RefusalCodes.OverCeiling, $"The masker is as loud as a tone of {asTone}, over the {order.MaximumLevelDbHl} dB HL allowed for this step.", "Ask for a lower masker.");
        }

        // A noise comes suddenly for the ear it is in: only a masker there before makes room for a louder one, and a stricter kit is not overruled.
        var rules = gear.Kit.Ceilings;
        var free = Math.Min(FreeMaskerDbHl - rules.LargestRiseDb, rules.FreeRiseUpToDbHl);
        var heard = _session == order.SessionId && _previousMaskers.TryGetValue(ear, out var before) ? Math.Max(free, before) : free;
        var request = new PresentationRequest(gear.Kit.TransducerKind, frequency, asTone, 1) { LoudConfirmed = confirmed };
        return rules.Check(request, heard) is { } over ? ToRefusal(over with { Sentence = $"The masker: {over.Sentence}" }) : null;
    }

    private TransducerKind KindOf(ConductionRoute route) => route == ConductionRoute.Air ? gear.Kit.TransducerKind : TransducerKind.BoneVibrator;

    private CalibrationRecord? RecordOf(ConductionRoute route) => route == ConductionRoute.Air ? gear.Calibration : gear.BoneCalibration;

    private static Refusal ToRefusal(LevelFault fault) => new(fault.Code, fault.Sentence, fault.Mend);
}

/// <summary>Either a refusal or the peak amplitude at which to play.</summary>
internal sealed record AllowedSound(Refusal? Refusal, double PeakAmplitude);

/// <summary>Either a refusal or how to play a masker.</summary>
/// <param name="Refusal">Why it is not played.</param>
/// <param name="Rms">Root mean square of the noise.</param>
/// <param name="CeilingLevel">Level of a tone of the same sound pressure level.</param>
internal sealed record AllowedMasker(Refusal? Refusal, double Rms, HearingLevel CeilingLevel)
{
    public static AllowedMasker Not(Refusal refusal) => new(refusal, 0, default);
}
