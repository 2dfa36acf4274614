using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity;

/// <summary>Hands out and takes back single-use sign-in links.</summary>
public sealed class SignInLinks
{
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly TimeProvider _time;
    private readonly HubSettings _settings;

    public SignInLinks(IDbContextFactory<HubContext> contexts, TimeProvider time, HubSettings settings)
    {
        _contexts = contexts;
        _time = time;
        _settings = settings;
    }

    /// <summary>Makes a link for a person. Whoever has it can sign in once as that person: hand it over in private.</summary>
    /// <returns>The path, e.g. "/sign-in/…"; put the hub's address before it.</returns>
    public async Task<string> Issue(string personId, CancellationToken cancellationToken)
    {
        var code = SecretCode.New();
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        context.SignInCodes.Add(new SignInCodeRow
        {
            CodeHash = SecretCode.Hash(code),
            PersonId = personId,
            ExpiresTicks = (_time.GetUtcNow() + _settings.SignInLinkLife).UtcTicks,
        });
        await context.SaveChangesAsync(cancellationToken);
        return "/sign-in/" + code;
    }

    /// <summary>Whether a link can still be used; uses nothing up, so that a mail program looking at the link does no harm.</summary>
    internal async Task<bool> IsOpen(string code, CancellationToken cancellationToken)
    {
        var hash = SecretCode.Hash(code);
        var now = _time.GetUtcNow().UtcTicks;
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        return await context.SignInCodes.AnyAsync(row => row.CodeHash == hash && row.UsedTicks == null && row.ExpiresTicks > now, cancellationToken);
    }

    /// <summary>Uses a link up.</summary>
    /// <returns>The person's id, or null when the link is unknown, used or expired.</returns>
    internal async Task<string?> Use(string code, CancellationToken cancellationToken)
    {
        var hash = SecretCode.Hash(code);
        var now = _time.GetUtcNow().UtcTicks;
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);

        // One conditional update decides: of two uses at the same moment only one changes the row.
        var changed = await context.SignInCodes
            .Where(row => row.CodeHash == hash && row.UsedTicks == null && row.ExpiresTicks > now)
            .ExecuteUpdateAsync(set => set.SetProperty(row => row.UsedTicks, now), cancellationToken);
        return changed == 1
            ? await context.SignInCodes.Where(row => row.CodeHash == hash).Select(row => row.PersonId).SingleAsync(cancellationToken)
            : null;
    }
}
