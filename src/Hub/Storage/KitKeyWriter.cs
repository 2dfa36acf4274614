using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Keys;

namespace TeleHearing.Hub.Storage;

/// <summary>Takes a kit's keys away inside a transaction.</summary>
internal static class KitKeyWriter
{
    /// <summary>Keeps with which loan a kit's key went out, and retires it when that loan is over (<see cref="KeyLoans"/>).</summary>
    public static async Task Follow(HubContext context, KitId kitId, IReadOnlyList<KitFact> facts, long nowTicks, CancellationToken cancellationToken)
    {
        // Read here, inside the transaction: a key that was enrolled since the kit was loaded has been out with no loan.
        var kept = await context.Kits.Where(row => row.KitId == kitId.Value).Select(row => row.KeyLoanId).SingleAsync(cancellationToken);
        LoanId? before = kept is { } known ? new LoanId(known) : null;
        if (KeyLoans.Retire(before, facts))
        {
            await context.Kits.Where(row => row.KitId == kitId.Value).ExecuteUpdateAsync(
                set => set.SetProperty(row => row.PublicKeyPem, (string?)null).SetProperty(row => row.KeyRetiredTicks, nowTicks).SetProperty(row => row.KeyLoanId, (Guid?)null),
                cancellationToken);
            await context.KitJournalKeys.Where(row => row.KitId == kitId.Value).ExecuteDeleteAsync(cancellationToken);
        }
        else if (KeyLoans.After(before, facts) is { } loan && loan != before)
        {
            // A kit that has no key has none to go out with.
            await context.Kits.Where(row => row.KitId == kitId.Value && row.PublicKeyPem != null).ExecuteUpdateAsync(set => set.SetProperty(row => row.KeyLoanId, loan.Value), cancellationToken);
        }
    }

    /// <summary>From the commit on the kit's key opens nothing. Without the journal keys the journals on its disk cannot be read by anyone.</summary>
    /// <returns>False when there is no such kit.</returns>
    public static async Task<bool> Revoke(HubContext context, KitId kitId, long nowTicks, CancellationToken cancellationToken)
    {
        var known = await context.Kits.Where(row => row.KitId == kitId.Value).ExecuteUpdateAsync(
            set => set.SetProperty(row => row.PublicKeyPem, (string?)null).SetProperty(row => row.RevokedTicks, nowTicks),
            cancellationToken);

        // A code that was printed and not used would let it in again.
        await context.EnrolmentCodes.Where(row => row.KitId == kitId.Value && row.UsedTicks == null).ExecuteDeleteAsync(cancellationToken);
        await context.KitJournalKeys.Where(row => row.KitId == kitId.Value).ExecuteDeleteAsync(cancellationToken);
        return known > 0;
    }
}
