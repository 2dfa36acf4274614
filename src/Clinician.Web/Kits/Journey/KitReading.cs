using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Kits.Journey;

/// <summary>Reads from a kit's picture what its forms need.</summary>
public static class KitReading
{
    /// <summary>Whether a move is offered; what the picture does not name is not.</summary>
    public static bool May(this KitView view, string move) => view.Moves.Any(known => known.Name == move && known.Allowed);

    /// <summary>Whether a move is for those who answer for the kits. The hub decides; this only spares forms that would be refused.</summary>
    public static bool NeedsCareOfKits(string move) => move is "commission-kit" or "retire-kit" or "lift-hold" or "reserve-kit" or "call-off-loan" or "extend-loan";

    /// <summary>Steps of the ladder taken since the loan was last extended: with another day to be back it begins anew.</summary>
    public static IEnumerable<ReminderEntry> RemindersSinceExtended(this KitLoanView loan) =>
        loan.Steps.LastOrDefault(step => step.Name == "extended") is { } extended ? loan.Reminders.Where(taken => taken.At > extended.At) : loan.Reminders;

    /// <summary>The loan the kit is packed for or away with.</summary>
    public static KitLoanView? InHand(this KitView view) => view.Loans.FirstOrDefault(loan => loan.InHand);

    /// <summary>The loan that counts next: the one in hand, or the first it is promised to.</summary>
    public static KitLoanView? Next(this KitView view) => view.InHand() ?? view.Loans.FirstOrDefault();

    /// <summary>Whether the kit is away with its loan.</summary>
    public static bool IsAway(this KitView view) =>
        view.Stage is KitStage.InTransitOut or KitStage.Delivered or KitStage.CheckedInAtSite or KitStage.InUse or KitStage.AwaitingReturn or KitStage.InTransitBack or KitStage.MissingParcel;
}
