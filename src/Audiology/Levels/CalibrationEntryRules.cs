namespace TeleHearing.Audiology.Levels;

/// <summary>Faults of the points of a calibration record.</summary>
internal static class CalibrationEntryRules
{
    private const string Mend = "Have the record corrected by the laboratory.";

    public static IEnumerable<LevelFault> Faults(CalibrationRecord record)
    {
        var entries = record.Entries ?? [];
        foreach (var ear in new[] { Ear.Right, Ear.Left })
        {
            if (!entries.Any(entry => entry?.Ear == ear))
            {
                yield return new(LevelFaultCodes.CalibrationMissing, $"Certificate {record.CertificateId} has no points for the {Name(ear)} ear.", "Have both ears calibrated.");
            }
        }

        var seen = new HashSet<(Ear, int)>();
        foreach (var entry in entries)
        {
            if (entry is null)
            {
                yield return Invalid($"Certificate {record.CertificateId} has an empty point.");
                continue;
            }

            if (!seen.Add((entry.Ear, entry.FrequencyHz)))
            {
                yield return Invalid($"{Place(record, entry)} appears twice.");
            }

            if (ValueFault(record, entry) is { } fault)
            {
                yield return fault;
            }
        }
    }

    /// <summary>What is wrong with the numbers of one point; absent when they can be right.</summary>
    public static LevelFault? ValueFault(CalibrationRecord record, CalibrationEntry entry)
    {
        if (!AudiometricFrequency.TryFromHertz(entry.FrequencyHz, out var frequency))
        {
            return Invalid($"{Place(record, entry)} is not at an audiometric frequency.");
        }

        if (!Within(entry.SplAtFullScaleDb, CalibrationRules.LowestSplAtFullScaleDb, CalibrationRules.HighestSplAtFullScaleDb))
        {
            return Invalid($"{Place(record, entry)} gives {entry.SplAtFullScaleDb} dB SPL at digital full scale, which cannot be right ({CalibrationRules.LowestSplAtFullScaleDb} to {CalibrationRules.HighestSplAtFullScaleDb} dB SPL).");
        }

        if (!Within(entry.MaximumDbHl, HearingLevels.LowestPresentedDbHl, CalibrationRules.HighestMaximumDbHl))
        {
            return Invalid($"{Place(record, entry)} gives a maximum of {entry.MaximumDbHl} dB HL, which cannot be right ({HearingLevels.LowestPresentedDbHl} to {CalibrationRules.HighestMaximumDbHl} dB HL).");
        }

        var needed = ReferenceThresholds.TryGet(record.TransducerKind, record.Coupler, frequency, out var retspl)
            ? entry.MaximumDbHl + retspl - entry.SplAtFullScaleDb
            : 0;
        return needed > LevelChain.RoundingDb
            ? Invalid($"{Place(record, entry)} gives a maximum of {entry.MaximumDbHl} dB HL, {needed:0.0} dB more than digital full scale reaches.")
            : null;
    }

    public static string Name(Ear ear) => ear == Ear.Right ? "right" : "left";

    private static bool Within(double value, double low, double high) => double.IsFinite(value) && value >= low && value <= high;

    private static string Place(CalibrationRecord record, CalibrationEntry entry) =>
        $"Certificate {record.CertificateId}: the point for the {Name(entry.Ear)} ear at {entry.FrequencyHz} Hz";

    private static LevelFault Invalid(string sentence) => new(LevelFaultCodes.CalibrationInvalid, sentence, Mend);
}
