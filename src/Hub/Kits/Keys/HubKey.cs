using System.Security.Cryptography;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Keys;

/// <summary>The hub's own P-256 key: it signs tokens and orders. Made once for a data folder and kept in the database, protected by the hub's keys. Any thread.</summary>
internal sealed class HubKey : IDisposable
{
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly IDataProtector _protector;
    private readonly TimeProvider _time;
    private readonly Lock _lock = new();
    private ECDsa? _key;
    private string? _thumbprint;

    public HubKey(IDbContextFactory<HubContext> contexts, IDataProtectionProvider protection, TimeProvider time)
    {
        _contexts = contexts;
        _protector = protection.CreateProtector("TeleHearing.Hub.Kits.HubKey");
        _time = time;
    }

    /// <summary>Public half (SubjectPublicKeyInfo, PEM), told to a kit when it enrols.</summary>
    public string PublicPem
    {
        get
        {
            lock (_lock)
            {
                return Key().ExportSubjectPublicKeyInfoPem();
            }
        }
    }

    /// <summary>Signs a message of the hub.</summary>
    public string Sign<T>(string type, T message)
    {
        lock (_lock)
        {
            var key = Key();
            return KitJws.Sign(key, _thumbprint ??= KitThumbprint.Of(key), type, message);
        }
    }

    /// <summary>A message the hub signed itself; nothing when it did not.</summary>
    public T? Open<T>(string type, string? compact)
        where T : class
    {
        lock (_lock)
        {
            return KitJws.Open<T>(Key(), type, compact);
        }
    }

    public void Dispose() => _key?.Dispose();

    private ECDsa Key()
    {
        if (_key is not null)
        {
            return _key;
        }

        using var context = _contexts.CreateDbContext();
        var key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        if (context.HubKeys.AsNoTracking().SingleOrDefault(row => row.Id == 1) is { } kept)
        {
            key.ImportPkcs8PrivateKey(_protector.Unprotect(Convert.FromBase64String(kept.ProtectedKey)), out _);
        }
        else
        {
            context.HubKeys.Add(new HubKeyRow { Id = 1, ProtectedKey = Convert.ToBase64String(_protector.Protect(key.ExportPkcs8PrivateKey())), MadeTicks = _time.GetUtcNow().UtcTicks });
            try
            {
                context.SaveChanges();
            }
            catch (DbUpdateException fault) when (StoreFaults.IsBrokenKey(fault))
            {
                // Another hub on the same database made it in this moment: there is one key, and it is that.
                key.Dispose();
                return Key();
            }
        }

        return _key = key;
    }
}
