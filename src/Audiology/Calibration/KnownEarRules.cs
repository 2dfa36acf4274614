using System.Globalization;

namespace TeleHearing.Audiology.Calibration;

/// <summary>The known-ear (biological) check: a person whose thresholds are known and steady listens, and the kit is judged by how far they moved.</summary>
/// <remarks>
/// Weekly, and on every move to a new place before testing (South African Noise Exposure Regulations 2024, Code of Practice for Audiometry, 7.2.1). A shift
/// of 10 dB asks for an acoustic calibration, 15 dB for an exhaustive one (OSHA 29 CFR 1910.95(h)(5), from memory). A shift towards better hearing counts
/// as much as one towards worse: the kit then plays too loud. The person's own variation is within 5 dB; a cold or noise the day before moves more.
/// </remarks>
public static class KnownEarRules
{
    /// <summary>Shift that asks for an acoustic calibration, dB.</summary>
    public const double CalibrationShiftDb = 10;

    /// <summary>Shift that asks for an exhaustive calibration, dB.</summary>
    public const double ExhaustiveShiftDb = 15;

    /// <summary>Days from one check to the next.</summary>
    public const int IntervalDays = 7;

    /// <summary>Highest threshold of a person who may serve as known ear, dB HL: normal hearing (common practice).</summary>
    public const double HighestBaselineDbHl = 25;

    /// <summary>Lowest level that can be measured, dB HL.</summary>
    public const double LowestDbHl = HearingLevels.LowestPresentedDbHl;

    /// <summary>Highest level that can be measured, dB HL.</summary>
    public const double HighestDbHl = 120;

    /// <summary>Longest code of a person, characters.</summary>
    public const int LongestPersonCode = 12;

    /// <summary>Frequencies every check has at both ears, Hz (design: the lowest, the middle and the highest that ear and earphone depend on).</summary>
    public static IReadOnlyList<int> NeededHz { get; } = [500, 1000, 2000, 4000];

    /// <summary>What is wrong with the code of a person; absent when nothing is. A code is not a name: it holds a digit and no blank.</summary>
    public static string? PersonCodeFault(string? code) =>
        code is { Length: > 0 and <= LongestPersonCode }
        && code.All(character => char.IsAsciiLetterOrDigit(character) || character == '-')
        && code.Any(char.IsAsciiDigit)
            ? null
            : $"Give the person as a code of up to {LongestPersonCode} letters, digits and hyphens with at least one digit, as in E1; never a name.";

    /// <summary>Everything wrong with measured levels; empty when they can be used.</summary>
    public static IReadOnlyList<string> Faults(IReadOnlyList<KnownEarLevel>? levels)
    {
        if (levels is null || levels.Count == 0 || levels.Any(level => level is null))
        {
            return ["No levels were given."];
        }

        var faults = new List<string>();
        foreach (var level in levels)
        {
            if (!Enum.IsDefined(level.Ear) || !AudiometricFrequency.TryFromHertz(level.FrequencyHz, out _))
            {
                faults.Add($"{Place(level.Ear, level.FrequencyHz)} is not an ear and audiometric frequency.");
            }
            else if (!(level.LevelDbHl is >= LowestDbHl and <= HighestDbHl))
            {
                faults.Add($"{Place(level.Ear, level.FrequencyHz)} must be a level from {LowestDbHl} to {HighestDbHl} dB HL.");
            }
        }

        foreach (var twice in levels.GroupBy(level => (level.Ear, level.FrequencyHz)).Where(group => group.Count() > 1))
        {
            faults.Add($"{Place(twice.Key.Ear, twice.Key.FrequencyHz)} is given twice.");
        }

        foreach (var ear in new[] { Ear.Right, Ear.Left })
        {
            var missing = NeededHz.Where(hertz => !levels.Any(level => level.Ear == ear && level.FrequencyHz == hertz)).ToList();
            if (missing.Count > 0)
            {
                faults.Add($"The {Side(ear)} ear lacks {string.Join(", ", missing)} Hz.");
            }
        }

        return faults;
    }

    /// <summary>Everything wrong with a baseline; empty when it can be used.</summary>
    public static IReadOnlyList<string> BaselineFaults(IReadOnlyList<KnownEarLevel>? levels)
    {
        var faults = Faults(levels);
        return faults.Count > 0
            ? faults
            : [.. levels!.Where(level => level.LevelDbHl > HighestBaselineDbHl).Select(level => string.Create(
                CultureInfo.InvariantCulture,
                $"{Place(level.Ear, level.FrequencyHz)} is {level.LevelDbHl:0.#} dB HL; a known ear hears {HighestBaselineDbHl} dB HL or better everywhere. Choose another person."))];
    }

    /// <summary>Each measured level beside the baseline; levels without one are left out and listed by <see cref="WithoutBaseline"/>.</summary>
    public static IReadOnlyList<KnownEarShift> Compare(IReadOnlyList<KnownEarLevel> baseline, IReadOnlyList<KnownEarLevel> levels) =>
    [
        .. from level in levels
           let known = baseline.FirstOrDefault(point => point.Ear == level.Ear && point.FrequencyHz == level.FrequencyHz)
           where known is not null
           select new KnownEarShift(level.Ear, level.FrequencyHz, known.LevelDbHl, level.LevelDbHl),
    ];

    /// <summary>Why a check cannot be held against a baseline; absent when it can.</summary>
    public static string? WithoutBaseline(IReadOnlyList<KnownEarLevel> baseline, IReadOnlyList<KnownEarLevel> levels)
    {
        var missing = levels.Where(level => !baseline.Any(point => point.Ear == level.Ear && point.FrequencyHz == level.FrequencyHz)).ToList();
        return missing.Count == 0
            ? null
            : $"The person's baseline has no value for {string.Join(", ", missing.Select(level => $"{Side(level.Ear)} {level.FrequencyHz} Hz"))}.";
    }

    /// <summary>What the largest shift means for the kit.</summary>
    public static KnownEarVerdict Verdict(IEnumerable<KnownEarShift> shifts) => shifts.Select(shift => Math.Abs(shift.ShiftDb)).DefaultIfEmpty(0).Max() switch
    {
        >= ExhaustiveShiftDb => KnownEarVerdict.ExhaustiveNeeded,
        >= CalibrationShiftDb => KnownEarVerdict.CalibrationNeeded,
        _ => KnownEarVerdict.Passed,
    };

    /// <summary>Why a known-ear check is due; absent when it is not.</summary>
    /// <param name="lastCheck">Day of the last check, passed or not; absent when there was none.</param>
    /// <param name="movedSince">Whether the kit was moved after it.</param>
    /// <param name="today">Today.</param>
    public static string? WhyDue(DateOnly? lastCheck, bool movedSince, DateOnly today) => lastCheck switch
    {
        null => "This kit has no known-ear check yet.",
        _ when movedSince => "The kit was moved since the last known-ear check: check it at its new place before testing.",
        { } last when today.DayNumber - last.DayNumber >= IntervalDays => string.Create(CultureInfo.InvariantCulture, $"The last known-ear check was {today.DayNumber - last.DayNumber} days ago; one is due every {IntervalDays} days."),
        _ => null,
    };

    private static string Side(Ear ear) => ear == Ear.Left ? "left" : "right";

    private static string Place(Ear ear, int hertz) => $"{(ear == Ear.Left ? "Left" : "Right")} {hertz} Hz";
}
