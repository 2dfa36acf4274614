using System.Security.Cryptography;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Log;

namespace TeleHearing.Hub.Kits;

/// <summary>The kits the clinic owns: entering them, enrolling their agents, taking the right away again.</summary>
public sealed class KitFleet
{
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly IEventLog _log;
    private readonly TimeProvider _time;
    private readonly HubSettings _settings;
    private readonly HubKey _hubKey;

    internal KitFleet(IDbContextFactory<HubContext> contexts, IEventLog log, TimeProvider time, HubSettings settings, HubKey hubKey)
    {
        _contexts = contexts;
        _log = log;
        _time = time;
        _settings = settings;
        _hubKey = hubKey;
    }

    /// <summary>Enters a kit. Entering one that is there changes its label and place only.</summary>
    public async Task Enter(KitId kitId, string label, string where, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var kit = await context.Kits.SingleOrDefaultAsync(row => row.KitId == kitId.Value, cancellationToken);
        if (kit is null)
        {
            context.Kits.Add(new KitEntity { KitId = kitId.Value, Label = label, Where = where });
        }
        else
        {
            kit.Label = label;
            kit.Where = where;
        }

        await context.SaveChangesAsync(cancellationToken);
        _log.Wrote();
    }

    /// <summary>Whether there is such a kit.</summary>
    public async Task<bool> IsEntered(KitId kitId, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        return await context.Kits.AnyAsync(row => row.KitId == kitId.Value, cancellationToken);
    }

    /// <summary>Makes a one-time code with which the kit's agent enrols.</summary>
    /// <exception cref="InvalidOperationException">The kit is not entered.</exception>
    public async Task<string> IssueEnrolmentCode(KitId kitId, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        if (!await IsEntered(kitId, cancellationToken))
        {
            throw new InvalidOperationException($"There is no kit {kitId}. Enter it first.");
        }

        // One code at a time: one that was printed before and lies about is worth nothing any more.
        await context.EnrolmentCodes.Where(row => row.KitId == kitId.Value && row.UsedTicks == null).ExecuteDeleteAsync(cancellationToken);
        var code = SecretCode.New();
        context.EnrolmentCodes.Add(new EnrolmentCodeRow
        {
            CodeHash = SecretCode.Hash(code),
            KitId = kitId.Value,
            ExpiresTicks = (_time.GetUtcNow() + _settings.EnrolmentCodeLife).UtcTicks,
        });
        await context.SaveChangesAsync(cancellationToken);
        return code;
    }

    /// <summary>Takes a public key for the kit the code belongs to. The kit's older key stops working.</summary>
    internal async Task<EnrolReply> Enrol(EnrolRequest request, CancellationToken cancellationToken)
    {
        if (!Protocol.Accepts(request.ProtocolVersion))
        {
            return Refused(RefusalCodes.ProtocolVersion, $"The kit speaks version {request.ProtocolVersion}, this hub version {Protocol.Version}.", "Update the site agent.");
        }

        if (!IsP256(request.PublicKeyPem))
        {
            return Refused(RefusalCodes.Invalid, "The public key is not an ECDSA P-256 key in PEM form.", "Update the site agent.");
        }

        var hash = SecretCode.Hash(request.Code ?? string.Empty);
        var now = _time.GetUtcNow().UtcTicks;
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        await using var transaction = await context.Database.BeginTransactionAsync(cancellationToken);
        var used = await context.EnrolmentCodes
            .Where(row => row.CodeHash == hash && row.UsedTicks == null && row.ExpiresTicks > now)
            .ExecuteUpdateAsync(set => set.SetProperty(row => row.UsedTicks, now), cancellationToken);
        if (used == 0)
        {
            return Refused(RefusalCodes.EnrolmentCode, "The enrolment code is unknown, used before, or too old.", "Ask the kit coordinator for a new code.");
        }

        var kitId = await context.EnrolmentCodes.Where(row => row.CodeHash == hash).Select(row => row.KitId).SingleAsync(cancellationToken);
        await context.Kits.Where(row => row.KitId == kitId).ExecuteUpdateAsync(
            set => set.SetProperty(row => row.PublicKeyPem, request.PublicKeyPem)
                .SetProperty(row => row.RevokedTicks, (long?)null)
                .SetProperty(row => row.KeySinceTicks, now)
                .SetProperty(row => row.KeyLoanId, (Guid?)null)
                .SetProperty(row => row.KeyRetiredTicks, (long?)null),
            cancellationToken);
        await transaction.CommitAsync(cancellationToken);
        _log.Wrote();
        return new EnrolReply(new KitId(kitId), null) { HubKeyPem = _hubKey.PublicPem };
    }

    /// <summary>The key a kit signs with; null when it is unknown, not enrolled or revoked.</summary>
    internal async Task<string?> FindPublicKey(KitId kitId, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        return await context.Kits
            .Where(row => row.KitId == kitId.Value && row.RevokedTicks == null)
            .Select(row => row.PublicKeyPem)
            .SingleOrDefaultAsync(cancellationToken);
    }

    /// <summary>Remembers when a kit was last here.</summary>
    internal async Task Seen(KitId kitId, string? agentVersion, CancellationToken cancellationToken)
    {
        var now = _time.GetUtcNow().UtcTicks;
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        await context.Kits.Where(row => row.KitId == kitId.Value).ExecuteUpdateAsync(
            set => set.SetProperty(row => row.LastSeenTicks, now).SetProperty(row => row.AgentVersion, row => agentVersion ?? row.AgentVersion),
            cancellationToken);
        _log.Wrote();
    }

    private static EnrolReply Refused(string code, string sentence, string remedy) => new(null, new Refusal(code, sentence, remedy));

    private static bool IsP256(string? pem)
    {
        try
        {
            using var key = ECDsa.Create();
            key.ImportFromPem(pem);
            var curve = key.ExportParameters(includePrivateParameters: false).Curve;
            return curve.IsNamed && curve.Oid.Value == ECCurve.NamedCurves.nistP256.Oid.Value;
        }
        catch (Exception fault) when (fault is CryptographicException or ArgumentException)
        {
            // Whatever is wrong with the text, it is not a key; the caller refuses it with a sentence.
            return false;
        }
    }
}
