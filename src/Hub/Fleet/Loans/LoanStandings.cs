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

    /// <summary>Where a loan stands by what its kit says now.</summary>
    public static LoanStanding Of(FleetLoan loan, FleetContext context) => Of(loan, OnKit(loan, context));

    /// <summary>A loan as its kit's facts tell it; absent while no kit is chosen, and when the kit knows nothing of it.</summary>
    public static FleetKitLoan? OnKit(FleetLoan loan, FleetContext context) =>
        loan.KitId is { } kitId ? context.Kit(kitId)?.Loans.LastOrDefault(known => known.LoanId == loan.Request.LoanId) : null;

    /// <summary>Whether no other loan may be asked for its sessions: it goes on, and no other loan took its place.</summary>
    public static bool Serves(FleetLoan loan, FleetContext context) =>
        loan is { WithdrawnBecause: null, SwappedFor: null } && IsOpen(Of(loan, context));

    /// <summary>Whether it still asks for something.</summary>
    public static bool IsOpen(LoanStanding standing) => standing is LoanStanding.Requested or LoanStanding.Promised or LoanStanding.OnLoan;
}
