using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>What the coordinator should see to on a kit's way, as sentences. Pure.</summary>
internal static class JourneyDue
{
    public static IEnumerable<string> Of(KitState state, DateOnly today, ParcelLimits limits)
    {
        if (ParcelConcerns.Missing(state) is { } missing)
        {
            yield return missing;
        }

        if (!KitStages.IsGone(state.Stage) && ParcelConcerns.Alarm(state, limits) is { } alarm)
        {
            yield return alarm;
        }

        if (state.LoanInHand is { } loan)
        {
            if (KitAvailability.DaysOverdue(state, loan, today) is > 0 and var days)
            {
                yield return string.Create(CultureInfo.InvariantCulture, $"The loan to {loan.Place} is {(days == 1 ? "1 day" : $"{days} days")} overdue.");
            }

            if (loan.SentOn is not null && KitJudgement.HoldsUntil(state) is { } until && until < loan.DueBack)
            {
                yield return string.Create(CultureInfo.InvariantCulture, $"The calibration ends on {until:d MMMM yyyy}, while the kit is still away.");
            }

            if (state.Stage == KitStage.InTransitBack && loan.Carrier.LastOrDefault() is { Leg: KitLeg.Back, Status: CarrierStatus.Delivered })
            {
                yield return "The carrier delivered it: receive it.";
            }

            if (loan.Carrier.LastOrDefault() is { Status: CarrierStatus.DeliveryFailed } failed && state.Stage is KitStage.InTransitOut or KitStage.InTransitBack)
            {
                yield return string.Create(CultureInfo.InvariantCulture, $"Delivery failed on {failed.At.UtcDateTime:d MMMM yyyy}: ask the carrier.");
            }
        }

        if (state.NextLoan is { } next && !KitStages.IsPacked(state.Stage))
        {
            if (KitStages.IsGone(state.Stage) || state.Stage == KitStage.MissingParcel)
            {
                yield return string.Create(CultureInfo.InvariantCulture, $"It is promised for {next.From:d MMMM yyyy} ({next.Place}): give that loan another kit.");
            }
            else if (next.From < today)
            {
                yield return string.Create(CultureInfo.InvariantCulture, $"It should have left on {next.From:d MMMM yyyy} ({next.Place}).");
            }
        }

        if (state.Laboratory is { } stay && stay.ExpectedBack < today)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"It was expected back from {stay.Laboratory} on {stay.ExpectedBack:d MMMM yyyy}.");
        }

        if (state.Stage == KitStage.MissingParcel)
        {
            yield return "Ask the carrier where the parcel is, and report the kit lost when it cannot be found.";
        }
    }
}
