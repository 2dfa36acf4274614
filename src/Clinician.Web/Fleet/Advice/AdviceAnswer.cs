using TeleHearing.Charts;
using TeleHearing.Logistics.Fleet;

namespace TeleHearing.Clinician.Web.Fleet.Advice;

/// <summary>An answer as the page shows it: the advice, today's fleet beside it, and the losses. Pure.</summary>
/// <param name="Case">What was asked.</param>
/// <param name="Advice">The advice.</param>
/// <param name="Chart">What is drawn.</param>
/// <param name="KitsAtWork">Kits of today that are there on average, rounded down; absent when not told.</param>
/// <param name="RefusedToday">Share of loans today's fleet refuses by the formula; absent when not told.</param>
/// <param name="ServedPerWeek">Loans a week the advised fleet can serve at the wish; absent when none is advised.</param>
/// <param name="LostPerYear">Kits lost in a year on average.</param>
public sealed record AdviceAnswer(
    AdviceCase Case, FleetAdvice Advice, FleetSizes Chart, int? KitsAtWork, double? RefusedToday, double? ServedPerWeek, double LostPerYear)
{
    /// <summary>Trips of a loan: out and back both by post.</summary>
    public const int TripsPerLoan = 2;

    /// <summary>Most sizes drawn at once (design): with more no bar could be read.</summary>
    private const int MostDrawn = 40;

    /// <summary>Works it out.</summary>
    public static AdviceAnswer Of(AdviceCase asked)
    {
        ArgumentNullException.ThrowIfNull(asked);
        var question = asked.Question;
        var advice = FleetAdvice.For(question);

        // The largest number that the owned ones keep at work: the same rounding that says how many to own.
        int? atWork = asked.KitsOwned is { } owned ? (int)Math.Floor((owned * question.Availability) + 1e-9) : null;
        return new AdviceAnswer(
            asked,
            advice,
            Draw(advice, atWork),
            atWork,
            atWork is { } today ? ErlangB.Refused(advice.OfferedLoad, today) : null,
            advice.Kits is > 0 and { } kits ? ErlangB.HighestLoad(kits, question.RefusedTarget) * Load.DaysPerWeek / question.CycleDays : null,
            TripLoss.PerYear(asked.LossPerTrip, question.LoansPerWeek, TripsPerLoan));
    }

    /// <summary>Sizes around the advised one, stretched to today's when that is near enough to be read beside it.</summary>
    private static FleetSizes Draw(FleetAdvice advice, int? today)
    {
        var (first, last) = (advice.Table[0].Kits, advice.Table[^1].Kits);
        if (today is > 0 and { } kits)
        {
            if (last - kits < MostDrawn)
            {
                first = Math.Min(first, kits);
            }

            if (kits - first < MostDrawn)
            {
                last = Math.Max(last, kits);
            }
        }

        var target = advice.Question.RefusedTarget;
        return new FleetSizes(
            [
                .. Enumerable.Range(first, last - first + 1)
                    .Select(count => (Kits: count, Refused: ErlangB.Refused(advice.OfferedLoad, count)))
                    .Select(size => new FleetSizePoint(size.Kits, size.Refused, size.Refused <= target)),
            ],
            target,
            today);
    }
}
