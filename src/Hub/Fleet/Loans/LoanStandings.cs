using TeleHearing.Contracts;

namespace TeleHearing.Hub.Fleet.Loans;

/// <summary>Where loans stand: what the fleet's facts say of them, and what their kits' facts say. Pure.</summary>
internal static class LoanStandings
{
    public static LoanStanding Of(FleetLoan loan, FleetKitLoan? onKit) => (loan, onKit) switch
    {
        ({ KitId: null, WithdrawnBecause: not null }, _) => LoanStanding.Withdrawn,
        ({ KitId: null }, _) => LoanStanding.Requested,
        (_, { Ended: "received" }) => LoanStanding.Back,
        (_, { Ended: "lost" or "stolen" }) => LoanStanding.Gone,
        (_, { Ended: not null }) => LoanStanding.Withdrawn,
        (_, { Left: true }) => LoanStanding.OnLoan,
        ({ WithdrawnBecause: not null }, _) => LoanStanding.Withdrawn,
        _ => LoanStanding.Promised,
    };

    /// <summary>Whether it still asks for something.</summary>
    public static bool IsOpen(LoanStanding standing) => standing is LoanStanding.Requested or LoanStanding.Promised or LoanStanding.OnLoan;
}
