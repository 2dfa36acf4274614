namespace TeleHearing.Audiology.Levels;

/// <summary>The highest level a kit gives with one kind of transducer at one frequency.</summary>
/// <param name="TransducerKind">Kind of transducer.</param>
/// <param name="FrequencyHz">Audiometric frequency in Hz.</param>
/// <param name="MaximumDbHl">Highest level in dB HL.</param>
public sealed record LevelCeiling(TransducerKind TransducerKind, int FrequencyHz, double MaximumDbHl);

/// <summary>A presentation someone asks for.</summary>
/// <param name="TransducerKind">Kind of transducer.</param>
/// <param name="Frequency">Frequency.</param>
/// <param name="Level">Level.</param>
/// <param name="DurationMs">Length in ms.</param>
public sealed record PresentationRequest(TransducerKind TransducerKind, AudiometricFrequency Frequency, HearingLevel Level, double DurationMs)
{
    /// <summary>Someone with the right to do so has deliberately confirmed that a level above <see cref="HearingLevels.LoudAboveDbHl"/> is meant.</summary>
    public bool LoudConfirmed { get; init; }
}

/// <summary>The ceilings that live on a kit. Anyone may lower them, nobody raises them.</summary>
/// <param name="Ceilings">Highest level by transducer and frequency. What is not listed may not be played.</param>
/// <remarks>
/// The limits of duration and rise are design choices of this tool, on the careful side: a threshold search needs neither a tone over 2 s nor a rise
/// above 20 dB. Local rules on exposure and the judgement of a licensed practitioner come first.
/// </remarks>
public sealed record CeilingRules(IReadOnlyList<LevelCeiling> Ceilings)
{
    /// <summary>Longest presentation in ms.</summary>
    public double LongestDurationMs { get; init; } = 10_000;

    /// <summary>Up to this level a rise is free, dB HL. The first presentation of a session may not be above it.</summary>
    public double FreeRiseUpToDbHl { get; init; } = 50;

    /// <summary>Above <see cref="FreeRiseUpToDbHl"/>, how far a presentation may be above the one before it, dB.</summary>
    public double LargestRiseDb { get; init; } = 20;

    /// <summary>Why a presentation may not be made; absent when it may.</summary>
    /// <param name="request">What is asked for.</param>
    /// <param name="previousDbHl">Level of the previous presentation of the session, dB HL; absent when there was none.</param>
    public LevelFault? Check(PresentationRequest request, double? previousDbHl)
    {
        ArgumentNullException.ThrowIfNull(request);
        var level = request.Level.Decibels;
        if (HighestFor(request.TransducerKind, request.Frequency) is not { } ceiling)
        {
            return new(LevelFaultCodes.OverCeiling, $"This kit has no ceiling for a {request.TransducerKind} transducer at {request.Frequency}, so nothing may be played there.", "Set the ceiling on the kit, or leave this frequency out.");
        }

        if (!(level <= ceiling))
        {
            return new(LevelFaultCodes.OverCeiling, $"{request.Level} is over this kit's ceiling of {ceiling} dB HL at {request.Frequency}.", "Ask for a lower level.");
        }

        if (!(request.DurationMs > 0 && request.DurationMs <= LongestDurationMs))
        {
            return new(LevelFaultCodes.OverCeiling, $"A presentation of {request.DurationMs} ms is not between 0 and this kit's longest of {LongestDurationMs} ms.", "Ask for a shorter presentation.");
        }

        if (level > HearingLevels.LoudAboveDbHl && !request.LoudConfirmed)
        {
            return new(LevelFaultCodes.LoudNotConfirmed, $"{request.Level} is above {HearingLevels.LoudAboveDbHl} dB HL and was not confirmed.", "Confirm that so loud a sound is meant, then ask again.");
        }

        // With nothing played before, or a previous level that is no number, only the free range is open.
        var highestNow = previousDbHl is { } previous && double.IsFinite(previous)
            ? Math.Max(FreeRiseUpToDbHl, previous + LargestRiseDb)
            : FreeRiseUpToDbHl;
        return level > highestNow
            ? new(LevelFaultCodes.RiseTooSteep, $"{request.Level} is too far above the previous presentation; {highestNow} dB HL is the most that may follow.", $"Rise in steps of at most {LargestRiseDb} dB.")
            : null;
    }

    /// <summary>The ceiling of a transducer and frequency, dB HL: the lowest of those listed; absent when none is, or one is no number.</summary>
    public double? HighestFor(TransducerKind kind, AudiometricFrequency frequency)
    {
        var listed = Ceilings
            .Where(ceiling => ceiling.TransducerKind == kind && ceiling.FrequencyHz == frequency.Hertz)
            .Select(ceiling => ceiling.MaximumDbHl)
            .ToList();
        return listed.Count == 0 || !listed.TrueForAll(double.IsFinite) ? null : listed.Min();
    }

    /// <summary>The range a fully featured instrument offers by air, as ceilings of one kind of transducer.</summary>
    /// <remarks>
    /// 70 dB HL at 125 Hz, 90 at 250, 120 at 500 to 4000, 110 at 6000, 100 at 8000 (IEC 60645-1, from memory); insert earphones 10 dB less at 6 and
    /// 8 kHz (common practice). 750 and 1500 Hz lie inside 500 to 4000. From 9 kHz on (and for high-frequency insert earphones from 8 kHz on) the ceilings are this tool's choice: with
    /// the reference thresholds of ISO 389-5 they stay below 120 dB SPL in the coupler. There is no ceiling, so nothing is played, where a kind has no reference threshold.
    /// A bone vibrator gets 45 dB HL at 250 Hz, 60 at 500 Hz and 4 kHz, 70 between (IEC 60645-1, from memory): distortion and feeling limit it there.
    /// The calibration record is what truly limits a unit.
    /// </remarks>
    public static CeilingRules Usual(TransducerKind kind) => new(
    [
        .. AudiometricFrequency.Both
            .Where(frequency => ReferenceThresholds.CouplersOf(kind).Any(coupler => ReferenceThresholds.TryGet(kind, coupler, frequency, out _)))
            .Where(frequency => kind != TransducerKind.BoneVibrator || BoneFrequencies.Tested.Contains(frequency))
            .Select(frequency => new LevelCeiling(kind, frequency.Hertz, UsualMaximum(kind, frequency.Hertz))),
    ]);

    /// <inheritdoc />
    public bool Equals(CeilingRules? other) =>
        other is not null
        && (LongestDurationMs, FreeRiseUpToDbHl, LargestRiseDb) == (other.LongestDurationMs, other.FreeRiseUpToDbHl, other.LargestRiseDb)
        && Ceilings.SequenceEqual(other.Ceilings);

    /// <inheritdoc />
    public override int GetHashCode() => HashCode.Combine(Ceilings.Count, LongestDurationMs, FreeRiseUpToDbHl, LargestRiseDb);

    private static double UsualMaximum(TransducerKind kind, int hertz)
    {
        if (kind == TransducerKind.BoneVibrator)
        {
            return hertz switch { 250 => 45, 500 or 4000 => 60, _ => 70 };
        }

        var insertLoss = kind is TransducerKind.Insert or TransducerKind.HighFrequencyInsert ? 10 : 0;
        return hertz switch
        {
            125 => 70,
            250 => 90,
            6000 => 110 - insertLoss,
            8000 => 100 - insertLoss,
            9000 or 10_000 => 95 - insertLoss,
            11_200 => 90 - insertLoss,
            12_500 => 85 - insertLoss,
            14_000 => 75 - insertLoss,
            16_000 => 60 - insertLoss,
            _ => 120,
        };
    }
}
