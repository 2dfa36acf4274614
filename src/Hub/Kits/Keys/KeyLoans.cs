using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Kits.Keys;

/// <summary>A new key each loan: a key goes out with one loan and serves no other (docs/decisions/0040). Kits that stay in the office keep theirs. Pure.</summary>
internal static class KeyLoans
{
    /// <summary>The loan a kit's key went out with, after these facts.</summary>
    /// <param name="before">The loan it went out with before; absent while it has been on none.</param>
    /// <param name="facts">What happened.</param>
    public static LoanId? After(LoanId? before, IEnumerable<KitFact> facts) => facts.Aggregate(before, (loan, fact) => loan ?? fact switch
    {
        KitSent { Leg: KitLeg.Out } sent => sent.LoanId,

        // Enrolled anew while it was away: that key has been out as well.
        KitReceived { LoanId: { } received } => received,
        _ => (LoanId?)null,
    });

    /// <summary>Whether these facts retire the key: the kit is released after the loan, or packed for another one.</summary>
    public static bool Retire(LoanId? before, IReadOnlyList<KitFact> facts)
    {
        var loan = before;
        foreach (var fact in facts)
        {
            if (loan is { } gone && (fact is KitReleased || (fact is KitPacked packed && packed.LoanId != gone)))
            {
                return true;
            }

            loan = After(loan, [fact]);
        }

        return false;
    }
}
