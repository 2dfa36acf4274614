using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Logistics.Planning;

namespace TeleHearing.Clinician.Web.Fleet.Planning;

/// <summary>What the form of a plan asks for.</summary>
public enum PlanField
{
    From,
    Until,
    Seconds,
    LaterDays,
}

/// <summary>What was typed for a plan.</summary>
/// <param name="From">First day a kit may leave.</param>
/// <param name="Until">Last day that is planned.</param>
/// <param name="Seconds">Longest search, s.</param>
/// <param name="LaterDays">Working days a session may be later.</param>
/// <param name="OneMoreKit">Whether to ask what one more kit would change.</param>
public sealed record PlanTyped(string From, string Until, string Seconds, string LaterDays, bool OneMoreKit)
{
    /// <summary>Longest search the hub takes, s.</summary>
    public const int LongestSeconds = 600;

    /// <summary>Most working days the hub lets a session be later.</summary>
    public const int MostLaterDays = 60;

    /// <summary>Weeks planned to begin with (design): as far ahead as most sessions are agreed.</summary>
    private const int Weeks = 13;

    private const int DaysPerWeek = 7;
    private const string DayForm = "yyyy-MM-dd";

    /// <summary>What the form begins with.</summary>
    public static PlanTyped Start(DateOnly today) => new(Text(today), Text(today.AddDays((Weeks * DaysPerWeek) - 1)), "30", "0", true);

    /// <summary>Reads it; what cannot be used is told field by field, and then nothing is asked.</summary>
    /// <param name="planId">Id of the run.</param>
    /// <param name="today">The clinic's day.</param>
    public (FleetPlanAsk? Ask, IReadOnlyDictionary<PlanField, string> Faults) Read(Guid planId, DateOnly today)
    {
        var faults = new Dictionary<PlanField, string>();
        var from = Day(PlanField.From, From, faults);
        var last = Day(PlanField.Until, Until, faults);
        if (from < today)
        {
            faults[PlanField.From] = $"This day is in the past: no kit can be sent then. Begin on {Text(today)} or later.";
        }

        if (from is { } first && last is { } end)
        {
            if (end < first)
            {
                faults[PlanField.Until] = "The last day lies before the first.";
            }
            else if (end.DayNumber - first.DayNumber >= PlanFaults.LongestHorizonDays)
            {
                faults[PlanField.Until] = $"Plan {PlanFaults.LongestHorizonDays} days at most.";
            }
        }

        var seconds = Whole(PlanField.Seconds, Seconds, 1, LongestSeconds, $"Give whole seconds, 1 to {LongestSeconds}.", faults);
        var later = Whole(PlanField.LaterDays, LaterDays, 0, MostLaterDays, $"Give whole working days, 0 to {MostLaterDays}; 0 keeps every session on its day.", faults);
        return faults.Count > 0
            ? (null, faults)
            : (new FleetPlanAsk(planId, from!.Value, last!.Value.AddDays(1), seconds, later, MovePromised: false, OneMoreKit), faults);
    }

    private static string Text(DateOnly day) => day.ToString(DayForm, CultureInfo.InvariantCulture);

    private static DateOnly? Day(PlanField field, string text, Dictionary<PlanField, string> faults)
    {
        if (DateOnly.TryParseExact(text.Trim(), DayForm, CultureInfo.InvariantCulture, DateTimeStyles.None, out var day) && day < DateOnly.MaxValue)
        {
            return day;
        }

        faults[field] = "Give a day.";
        return null;
    }

    private static int Whole(PlanField field, string text, int low, int high, string what, Dictionary<PlanField, string> faults)
    {
        if (int.TryParse(text.Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out var number) && number >= low && number <= high)
        {
            return number;
        }

        faults[field] = what;
        return low;
    }
}
