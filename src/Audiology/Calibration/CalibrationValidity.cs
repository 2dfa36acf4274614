using System.Text.Json.Serialization;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Calibration;

/// <summary>How long a calibration holds: the rule for the use of the gear, never longer than the certificate itself.</summary>
/// <remarks>
/// 3 months when the gear is moved between environments, 12 when it is not (South African Noise Exposure Regulations 2024, Code of Practice for
/// Audiometry, 7.1.1(b), the strictest published rule for moved gear; twelve months also OSHA 29 CFR 1910.95(h)(5)). Which of the two holds is the owner's choice.
/// </remarks>
public static class CalibrationValidity
{
    /// <summary>Months for gear that is moved.</summary>
    public const int MovedMonths = 3;

    /// <summary>Months for gear that is not moved.</summary>
    public const int FixedMonths = 12;

    /// <summary>How many days before the end the coordinator is warned (design: time to book a laboratory).</summary>
    public const int WarningDays = 14;

    /// <summary>Months of a use.</summary>
    public static int Months(GearUse use) => use == GearUse.Fixed ? FixedMonths : MovedMonths;

    /// <summary>Last day on which a calibration holds.</summary>
    /// <param name="record">The record.</param>
    /// <param name="use">How the gear is used.</param>
    public static DateOnly HoldsUntil(CalibrationRecord record, GearUse use)
    {
        ArgumentNullException.ThrowIfNull(record);
        var byRule = DateOnly.MaxValue.AddMonths(-Months(use)) < record.CalibratedOn ? DateOnly.MaxValue : record.CalibratedOn.AddMonths(Months(use));
        return byRule < record.ValidUntil ? byRule : record.ValidUntil;
    }

    /// <summary>Days on which it still holds, the present one not counted; below zero once it is over.</summary>
    public static int DaysLeft(DateOnly holdsUntil, DateOnly today) => holdsUntil.DayNumber - today.DayNumber;

    /// <summary>Where a calibration stands.</summary>
    public static CalibrationStanding Standing(DateOnly holdsUntil, DateOnly today) => DaysLeft(holdsUntil, today) switch
    {
        < 0 => CalibrationStanding.Over,
        <= WarningDays => CalibrationStanding.EndsSoon,
        _ => CalibrationStanding.Holds,
    };

    /// <summary>Whether a calibration holds through the last day of a loan. A loan that outlives it must not begin: the kit would fall silent at the person's home.</summary>
    /// <param name="holdsUntil">Last day of the calibration.</param>
    /// <param name="loan">The loan.</param>
    public static bool Covers(DateOnly holdsUntil, LoanPeriod loan)
    {
        ArgumentNullException.ThrowIfNull(loan);
        return loan.To <= holdsUntil;
    }
}

/// <summary>Where a calibration stands.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<CalibrationStanding>))]
public enum CalibrationStanding
{
    /// <summary>It holds for more than <see cref="CalibrationValidity.WarningDays"/> days.</summary>
    Holds,

    /// <summary>It holds today and ends within <see cref="CalibrationValidity.WarningDays"/> days.</summary>
    EndsSoon,

    /// <summary>It is over.</summary>
    Over,
}

/// <summary>The days a kit is away, both included.</summary>
/// <param name="From">Day it leaves.</param>
/// <param name="To">Day it is back.</param>
public sealed record LoanPeriod(DateOnly From, DateOnly To);
