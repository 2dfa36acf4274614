using TeleHearing.Clinician.Web.Kits;
using TeleHearing.Logistics.Fleet;

namespace TeleHearing.Clinician.Web.Fleet.Advice;

/// <summary>What the form asks for.</summary>
public enum AdviceField
{
    LoansPerWeek,
    CycleDays,
    RefusedPercent,
    KitsOwned,
    DaysAway,
    TimesAway,
    LossPercent,
}

/// <summary>A question that can be answered.</summary>
/// <param name="Question">How many kits for what.</param>
/// <param name="KitsOwned">Kits owned today; absent when not told.</param>
/// <param name="LossPerTrip">Chance that a kit is lost on one trip, 0 to 1.</param>
public sealed record AdviceCase(FleetQuestion Question, int? KitsOwned, double LossPerTrip);

/// <summary>Reads the numbers of the form. Pure: what cannot be used is told field by field, and then there is no case.</summary>
public static class AdviceTyped
{
    /// <summary>Most kits a clinic may own here: as many as the formulas take.</summary>
    private const int MostOwned = Load.MostKits;

    private const double Hundred = 100;

    /// <summary>Reads all of it.</summary>
    /// <param name="typed">Text of each field; one that is missing counts as empty.</param>
    /// <returns>The case, or the sentence beside each field that is wrong.</returns>
    public static (AdviceCase? Case, IReadOnlyDictionary<AdviceField, string> Faults) Read(IReadOnlyDictionary<AdviceField, string> typed)
    {
        var faults = new Dictionary<AdviceField, string>();
        double Number(AdviceField field, double low, double high, bool above, string what)
        {
            if (!KitWords.TryNumber(typed.GetValueOrDefault(field), out var number) || (above ? !(number > low) : !(number >= low)) || !(number <= high))
            {
                faults[field] = what;
                return double.NaN;
            }

            return number;
        }

        var loans = Number(AdviceField.LoansPerWeek, 0, Load.HighestLoansPerWeek, above: true, $"Give the loans asked for in a week as a number above 0 and up to {Load.HighestLoansPerWeek:0}, e.g. 2.5.");
        var cycle = Number(AdviceField.CycleDays, 0, Load.LongestCycleDays, above: true, $"Give the days of a cycle as a number above 0 and up to {Load.LongestCycleDays:0}, e.g. 21.");
        var refused = Number(AdviceField.RefusedPercent, 0, Hundred, above: true, "Give a share above 0 and below 100 %; 5 is one loan in twenty.");
        if (refused >= Hundred)
        {
            faults[AdviceField.RefusedPercent] = "Give a share below 100 %: at 100 % no kit is needed at all.";
        }

        var away = Number(AdviceField.DaysAway, 0, Availability.DaysPerYear, above: false, "Give the days a kit is away each time, 0 to 365.");
        var times = Number(AdviceField.TimesAway, 0, Availability.DaysPerYear, above: false, "Give how many times a year, 0 or more; 4 is every three months.");
        var loss = Number(AdviceField.LossPercent, 0, Hundred, above: false, "Give a share from 0 to 100 %; 0.5 is one trip in two hundred.");
        var owned = Owned(typed.GetValueOrDefault(AdviceField.KitsOwned), faults);
        if (away * times > Availability.DaysPerYear * (1 - Availability.Lowest))
        {
            faults[AdviceField.TimesAway] = "So often for so long would keep a kit away all year. Look at both numbers.";
        }

        if (loans * cycle / Load.DaysPerWeek > Load.HighestLoad)
        {
            faults[AdviceField.CycleDays] = $"So many loans for so long would keep more than {Load.HighestLoad:0} kits out. Look at both numbers.";
        }

        if (faults.Count > 0)
        {
            return (null, faults);
        }

        var question = new FleetQuestion(loans, cycle, Availability.Of(away, times), refused / Hundred);

        // The formulas have the last word about what they take.
        foreach (var fault in question.Faults())
        {
            faults[fault.Field == nameof(FleetQuestion.CycleDays) ? AdviceField.CycleDays : AdviceField.LoansPerWeek] = fault.Sentence;
        }

        return faults.Count > 0 ? (null, faults) : (new AdviceCase(question, owned, loss / Hundred), faults);
    }

    private static int? Owned(string? text, Dictionary<AdviceField, string> faults)
    {
        if (string.IsNullOrWhiteSpace(text))
        {
            return null;
        }

        if (KitWords.TryNumber(text, out var number) && number >= 0 && number <= MostOwned && Math.Floor(number) == number)
        {
            return (int)number;
        }

        faults[AdviceField.KitsOwned] = $"Give the kits you own as a whole number, 0 to {MostOwned}, or leave it empty.";
        return null;
    }
}
