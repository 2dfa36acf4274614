using System.Security.Cryptography;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity.Proof;

/// <summary>Codes that stand in for an authenticator that is lost, each once. Only hashes are kept.</summary>
internal sealed class RecoveryCodes(IDbContextFactory<HubContext> contexts, TimeProvider time)
{
    /// <summary>How many there are.</summary>
    public const int Count = 10;

    /// <summary>Letters of a code: 24 of 32 make 120 bits, above the 112 from which OWASP ASVS 5.0, 6.5.2, takes a plain hash for enough.</summary>
    private const int Letters = 24;

    private const int Group = 4;
    private const string Alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";

    /// <summary>Makes ten new ones; the old ones no longer work. Saved with the rest of what the caller does.</summary>
    /// <returns>The codes as shown, once.</returns>
    public static async Task<IReadOnlyList<string>> Renew(HubContext context, string personId, CancellationToken cancellationToken)
    {
        await Remove(context, personId, cancellationToken);
        var codes = Enumerable.Range(0, Count).Select(_ => RandomNumberGenerator.GetString(Alphabet, Letters)).ToList();
        context.RecoveryCodes.AddRange(codes.Select(code => new RecoveryCodeRow { CodeHash = SecretCode.Hash(code), PersonId = personId }));
        await context.SaveChangesAsync(cancellationToken);
        return [.. codes.Select(code => string.Join('-', code.Chunk(Group).Select(part => new string(part))))];
    }

    /// <summary>Takes all of a person's codes away.</summary>
    public static Task Remove(HubContext context, string personId, CancellationToken cancellationToken) =>
        context.RecoveryCodes.Where(row => row.PersonId == personId).ExecuteDeleteAsync(cancellationToken);

    /// <summary>Uses a code up.</summary>
    /// <param name="personId">Whose.</param>
    /// <param name="text">As typed: case, spaces and hyphens do not matter.</param>
    /// <returns>False when it is none of theirs, or was used before.</returns>
    public async Task<bool> Use(string personId, string text)
    {
        var code = Read(text);
        if (code.Length != Letters)
        {
            return false;
        }

        var (hash, now) = (SecretCode.Hash(code), time.GetUtcNow().UtcTicks);
        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
        return await context.RecoveryCodes
            .Where(row => row.CodeHash == hash && row.PersonId == personId && row.UsedTicks == null)
            .ExecuteUpdateAsync(set => set.SetProperty(row => row.UsedTicks, now), CancellationToken.None) == 1;
    }

    /// <summary>How many are left.</summary>
    public async Task<int> Left(string personId, CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        return await context.RecoveryCodes.CountAsync(row => row.PersonId == personId && row.UsedTicks == null, cancellationToken);
    }

    private static string Read(string text) => string.Concat(text.Where(letter => letter is not (' ' or '-'))).ToUpperInvariant();
}
