using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity.SetUp;

/// <summary>Hands out links to set an account up. Looking at one uses nothing up; whoever completes the page has used it.</summary>
internal sealed class Invitations(IDbContextFactory<HubContext> contexts, TimeProvider time, HubSettings settings)
{
    /// <summary>Makes a link; an older one for the same account no longer works. Whoever has it becomes that person: hand it over in private.</summary>
    /// <param name="personId">Whose account; absent for the first owner of an empty hub.</param>
    /// <param name="cancellationToken">Cancels.</param>
    /// <returns>The path, and until when it can be used.</returns>
    public async Task<(string Path, DateTimeOffset Until)> Issue(string? personId, CancellationToken cancellationToken)
    {
        var code = SecretCode.New();
        var until = time.GetUtcNow() + settings.InvitationLife;
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        await Void(context, personId, cancellationToken);
        context.Invitations.Add(new InvitationRow { CodeHash = SecretCode.Hash(code), PersonId = personId, ExpiresTicks = until.UtcTicks });
        await context.SaveChangesAsync(cancellationToken);
        return ("/set-up/" + code, until);
    }

    /// <summary>Takes back what was handed out for an account and not used.</summary>
    public static Task Void(HubContext context, string? personId, CancellationToken cancellationToken) =>
        context.Invitations.Where(row => row.PersonId == personId && row.UsedTicks == null).ExecuteDeleteAsync(cancellationToken);

    /// <summary>Looks at a link; uses nothing up, so that a mail program looking at it does no harm.</summary>
    /// <returns>Whether it can be used, and for whose account.</returns>
    public async Task<(bool Open, string? PersonId)> Look(string code, CancellationToken cancellationToken)
    {
        var (hash, now) = (SecretCode.Hash(code), time.GetUtcNow().UtcTicks);
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var row = await context.Invitations.AsNoTracking().SingleOrDefaultAsync(row => row.CodeHash == hash && row.UsedTicks == null && row.ExpiresTicks > now, cancellationToken);
        return (row is not null, row?.PersonId);
    }

    /// <summary>Uses a link up, as part of what the caller does with it.</summary>
    /// <returns>False when it was used meanwhile.</returns>
    public async Task<bool> Use(HubContext context, string code, CancellationToken cancellationToken)
    {
        var (hash, now) = (SecretCode.Hash(code), time.GetUtcNow().UtcTicks);
        return await context.Invitations
            .Where(row => row.CodeHash == hash && row.UsedTicks == null && row.ExpiresTicks > now)
            .ExecuteUpdateAsync(set => set.SetProperty(row => row.UsedTicks, now), cancellationToken) == 1;
    }
}
