using System.Security.Cryptography;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits;

/// <summary>Keys of kit journals. They live here, protected by the hub's own keys, and in the kit's memory; a kit that is revoked gets none and cannot read its disk.</summary>
internal sealed class JournalKeys
{
    private const int KeyBytes = 32;

    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly IDataProtector _protector;

    public JournalKeys(IDbContextFactory<HubContext> contexts, IDataProtectionProvider protection)
    {
        _contexts = contexts;
        _protector = protection.CreateProtector("TeleHearing.Hub.Kits.JournalKeys");
    }

    /// <summary>Deletes the keys of a kit's journals but one: whatever is left of the others can be read by nobody.</summary>
    public async Task Forget(KitId kitId, JournalId but, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        await context.KitJournalKeys.Where(row => row.KitId == kitId.Value && row.JournalId != but.Value).ExecuteDeleteAsync(cancellationToken);
    }

    /// <summary>The key of a journal, made at its first greeting.</summary>
    /// <returns>Null when the journal belongs to another kit.</returns>
    public async Task<string?> Of(KitId kitId, JournalId journalId, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var row = await context.KitJournalKeys.AsNoTracking().SingleOrDefaultAsync(found => found.JournalId == journalId.Value, cancellationToken);
        if (row is not null)
        {
            return row.KitId == kitId.Value ? Convert.ToBase64String(_protector.Unprotect(Convert.FromBase64String(row.ProtectedKey))) : null;
        }

        var key = RandomNumberGenerator.GetBytes(KeyBytes);
        context.KitJournalKeys.Add(new KitJournalKeyRow
        {
            JournalId = journalId.Value,
            KitId = kitId.Value,
            ProtectedKey = Convert.ToBase64String(_protector.Protect(key)),
        });
        await context.SaveChangesAsync(cancellationToken);
        return Convert.ToBase64String(key);
    }
}
