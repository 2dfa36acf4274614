using System.Globalization;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Calibration;

/// <summary>One point of a new record beside the record in use.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="BeforeDb">SPL at digital full scale in use, dB; absent when the point is new.</param>
/// <param name="AfterDb">SPL at digital full scale in the new record, dB; absent when the point is gone.</param>
public sealed record CalibrationChange(Ear Ear, int FrequencyHz, double? BeforeDb, double? AfterDb)
{
    /// <summary>By how much the gear had become louder, dB; absent when one side is missing. Every level played since was wrong by this.</summary>
    public double? ShiftDb => AfterDb - BeforeDb;

    /// <summary>The gear was so far off that results made since the calibration before must be looked at.</summary>
    public bool IsOutOfTolerance => Math.Abs(ShiftDb ?? 0) > CertificateComparison.ToleranceDb(FrequencyHz) + LevelChain.RoundingDb;
}

/// <summary>What a new calibration says about the one before it.</summary>
public static class CertificateComparison
{
    /// <summary>Two values of different days that differ by no more are taken for the same channel, dB (design; a laboratory repeats itself within about 0.3 dB).</summary>
    public const double SameChannelDb = 0.3;

    /// <summary>Channels must differ by this much somewhere before anything can be said about a swap, dB (design).</summary>
    private const double ClearlyDifferentDb = 0.6;

    /// <summary>Temperatures for which gear is specified, degrees Celsius (IEC 60645-1:2017, 5.3).</summary>
    private const double LowestOperatingC = 15;
    private const double HighestOperatingC = 35;

    /// <summary>Tolerance of the sound pressure level of an audiometer, dB: 3 from 125 to 4000 Hz, 5 above (IEC 60645-1, as quoted in ISO 8253-1:2010, A.3.3; second hand).</summary>
    public static double ToleranceDb(int frequencyHz) => frequencyHz <= 4000 ? 3 : 5;

    /// <summary>Every point of either record, right ear first, by frequency.</summary>
    public static IReadOnlyList<CalibrationChange> Changes(CalibrationRecord? before, CalibrationRecord after)
    {
        ArgumentNullException.ThrowIfNull(after);
        var old = Points(before);
        var made = Points(after);
        return
        [
            .. old.Keys.Union(made.Keys)
                .OrderBy(point => point.Ear == Ear.Right ? 0 : 1).ThenBy(point => point.Hertz)
                .Select(point => new CalibrationChange(point.Ear, point.Hertz, Value(old, point), Value(made, point))),
        ];
    }

    /// <summary>Whether left and right look exchanged: the new left values are the old right ones and the other way round, while the channels differ clearly.</summary>
    public static bool LooksSwapped(CalibrationRecord? before, CalibrationRecord after)
    {
        var (old, made) = (Points(before), Points(after));
        var shared = old.Keys.Where(made.ContainsKey).Where(point => old.ContainsKey(Other(point)) && made.ContainsKey(Other(point))).ToList();
        if (shared.Count == 0)
        {
            return false;
        }

        var straight = shared.ConvertAll(point => Math.Abs(made[point] - old[point]));
        var crossed = shared.ConvertAll(point => Math.Abs(made[point] - old[Other(point)]));
        return crossed.Average() <= SameChannelDb && straight.Max() >= ClearlyDifferentDb && straight.Average() >= 2 * crossed.Average();
    }

    /// <summary>What a person must look at and confirm before the record is put in place; empty when nothing stands out.</summary>
    public static IReadOnlyList<string> Questions(CalibrationRecord? before, CalibrationRecord after)
    {
        ArgumentNullException.ThrowIfNull(after);
        var questions = new List<string>();
        var changes = Changes(before, after);
        if (before is not null && before.CertificateId == after.CertificateId && changes.Any(change => change.BeforeDb != change.AfterDb))
        {
            questions.Add($"Certificate {after.CertificateId} is in use already, with other values. A laboratory gives a new calibration a new number: this file, or the one accepted before, was altered or mistyped.");
        }

        if (LooksSwapped(before, after))
        {
            questions.Add($"Left and right look exchanged: the left values are those certificate {before!.CertificateId} had for the right ear, and the other way round. Ask the laboratory before you accept.");
        }

        if (before is not null && changes.Where(change => change.AfterDb is null).ToList() is { Count: > 0 } gone)
        {
            questions.Add($"Points that are in use now are missing: {string.Join(", ", gone.Select(Place))}. Nothing can be tested there afterwards.");
        }

        if (changes.Where(change => change.IsOutOfTolerance).ToList() is { Count: > 0 } off)
        {
            questions.Add($"The gear has changed by more than its tolerance, or a value is mistyped: {string.Join(", ", off.Select(change => string.Create(CultureInfo.InvariantCulture, $"{Place(change)} by {change.ShiftDb:+0.0;-0.0} dB")))}. Compare with the printed certificate. If the values are right, results made since {before!.CalibratedOn:yyyy-MM-dd} must be looked at again.");
        }

        questions.AddRange(CertificateOutliers.Questions(Points(after)));
        if (after.PressureKPa is { } pressure && AtmosphericPressure.Caution(pressure) is { } caution)
        {
            questions.Add(caution);
        }

        if (after.TemperatureC is { } temperature and not (>= LowestOperatingC and <= HighestOperatingC))
        {
            questions.Add(string.Create(CultureInfo.InvariantCulture, $"It was {temperature:0.0} °C at the calibration: outside {LowestOperatingC} to {HighestOperatingC} °C, in which the gear is specified (IEC 60645-1:2017, 5.3)."));
        }

        return questions;
    }

    private static string Place(CalibrationChange change) => $"{(change.Ear == Ear.Right ? "right" : "left")} {change.FrequencyHz} Hz";

    private static Dictionary<(Ear Ear, int Hertz), double> Points(CalibrationRecord? record) =>
        (record?.Entries ?? []).Where(entry => entry is not null && double.IsFinite(entry.SplAtFullScaleDb))
            .GroupBy(entry => (entry.Ear, entry.FrequencyHz))
            .ToDictionary(group => group.Key, group => group.First().SplAtFullScaleDb);

    private static double? Value(Dictionary<(Ear, int), double> points, (Ear, int) point) => points.TryGetValue(point, out var value) ? value : null;

    private static (Ear Ear, int Hertz) Other((Ear Ear, int Hertz) point) => (point.Ear.Other(), point.Hertz);
}
