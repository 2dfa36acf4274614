using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Logistics.Fleet;
using TeleHearing.Logistics.Numerics;

namespace TeleHearing.Clinician.Web.Fleet.Advice;

/// <summary>What the form begins with: the clinic's own records where there is enough of them. Pure.</summary>
public static class AdviceStart
{
    /// <summary>Wished share of refused loans to begin with, % (design): one in twenty.</summary>
    private const double RefusedPercent = 5;

    /// <summary>Calibrations a year to begin with: gear that is moved is calibrated every three months (South African Code of Practice for Audiometry 7.1.1(b)).</summary>
    private const int CalibrationsPerYear = 4;

    private const double WorkingDaysPerWeek = 5;

    /// <summary>Demand and cycle by the records; absent without any that can be used.</summary>
    public static HistoryEstimate? Estimate(FleetHistoryView? history)
    {
        if (history is null)
        {
            return null;
        }

        var records = new LoanHistory(history.From, history.Until, history.AskedFor, [.. history.CycleDays.Select(days => (double)days)]);
        return records.Faults().Count > 0 ? null : records.Estimate(Logistics.Numerics.Estimate.UsualConfidence);
    }

    /// <summary>Texts of the fields.</summary>
    public static IReadOnlyDictionary<AdviceField, string> From(FleetHistoryView? history, HistoryEstimate? estimate, FleetTerms terms)
    {
        ArgumentNullException.ThrowIfNull(terms);
        return new Dictionary<AdviceField, string>
        {
            [AdviceField.LoansPerWeek] = estimate?.LoansPerWeek is { } loans ? Number(loans.Value) : string.Empty,
            [AdviceField.CycleDays] = estimate?.CycleDays is { } cycle ? Number(cycle.Value) : string.Empty,
            [AdviceField.RefusedPercent] = Number(RefusedPercent),
            [AdviceField.KitsOwned] = history is { Kits: var kits } ? Number(kits) : string.Empty,
            [AdviceField.DaysAway] = Number(Math.Ceiling(terms.LaboratoryDays * Load.DaysPerWeek / WorkingDaysPerWeek)),
            [AdviceField.TimesAway] = Number(CalibrationsPerYear),
            [AdviceField.LossPercent] = history is { Trips: > 0, Lost: > 0 } ? Number(Math.Min(100.0, history.Lost * 100.0 / history.Trips)) : "0",
        };
    }

    /// <summary>A number as the form holds it.</summary>
    public static string Number(double value) => value.ToString("0.##", CultureInfo.InvariantCulture);

    /// <summary>An estimate with its interval.</summary>
    public static string Interval(Estimate estimate)
    {
        ArgumentNullException.ThrowIfNull(estimate);
        var (low, high) = (Number(Math.Max(0, estimate.Low)), Number(estimate.High));
        return low == high
            ? string.Create(CultureInfo.InvariantCulture, $"{Number(estimate.Value)} (in {estimate.Confidence * 100:0} of 100 such cases the truth is the same as written here; {estimate.Method})")
            : string.Create(CultureInfo.InvariantCulture, $"{Number(estimate.Value)} (in {estimate.Confidence * 100:0} of 100 such cases the truth lies between {low} and {high}; {estimate.Method})");
    }
}
