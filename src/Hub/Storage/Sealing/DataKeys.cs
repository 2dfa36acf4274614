using System.Collections.Concurrent;
using System.Security.Cryptography;
using Microsoft.AspNetCore.DataProtection;

namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>The keys that seal what is stored, wrapped in the database by the hub's own keys and opened in memory. Any thread.</summary>
/// <remarks>Reads and writes by a connection of its own: a key is durable before anything is sealed with it, and rows are opened while another read is under way.</remarks>
internal sealed class DataKeys : IDisposable
{
    /// <summary>AES-256.</summary>
    private const int KeyBytes = 32;

    private readonly KeyDatabase _database;
    private readonly IDataProtector _protector;
    private readonly TimeProvider _time;
    private readonly Lock _reading = new();
    private readonly ConcurrentDictionary<string, Lazy<byte[]?>> _keys = new(StringComparer.Ordinal);
    private readonly ReadyCiphers _ready = new();
    private long _readUpTo;

    public DataKeys(KeyDatabase database, IDataProtectionProvider protection, TimeProvider time)
    {
        _database = database;
        _protector = protection.CreateProtector("TeleHearing.Hub.Storage.DataKeys");
        _time = time;
    }

    /// <summary>The key of a scope.</summary>
    /// <returns>Null when there is none, when it was destroyed, or when the hub's own keys do not open it.</returns>
    public byte[]? Find(string scope)
    {
        if (!_keys.TryGetValue(scope, out var key))
        {
            // All that are new at once: a list of sessions asks for many, one after the other.
            ReadNewer(scope);
            key = _keys.GetValueOrDefault(scope);
        }

        return key?.Value;
    }

    /// <summary>A cipher with the key of a scope, for the caller alone until it is disposed of.</summary>
    /// <inheritdoc cref="Find" path="/returns"/>
    public ReadyCipher? Cipher(string scope) => Find(scope) is { } key ? _ready.Take(key) : null;

    /// <summary>The key of a scope, made and durable before anything is sealed with it. Not inside a transaction that writes: the database takes one writer at a time.</summary>
    public byte[] Ensure(string scope)
    {
        if (Find(scope) is { } known)
        {
            return known;
        }

        using (var connection = _database.Open())
        {
            // Another process may have been faster: then its key counts.
            using var command = KeyDatabase.Command(
                connection,
                """INSERT INTO data_keys ("Scope", "Wrapped", "MadeTicks") VALUES (@scope, @wrapped, @made) ON CONFLICT DO NOTHING""",
                ("@scope", scope),
                ("@wrapped", NewKey()),
                ("@made", _time.GetUtcNow().UtcTicks));
            command.ExecuteNonQuery();
        }

        return Find(scope) ?? throw new CryptographicException($"The key of {scope} was destroyed, or the keys of this data folder do not open it.");
    }

    /// <summary>A new key as it is stored.</summary>
    public string NewKey() => Convert.ToBase64String(_protector.Protect(RandomNumberGenerator.GetBytes(KeyBytes)));

    /// <summary>Lets go of a key that was destroyed.</summary>
    public void Forget(string scope)
    {
        // Not while rows are read: what was read before it was destroyed must not come back after.
        lock (_reading)
        {
            if (_keys.TryRemove(scope, out var key) && key.Value is { } bytes)
            {
                _ready.Destroy(bytes);
            }
        }
    }

    public void Dispose() => _ready.Dispose();

    // The one that is asked for besides: of two hubs that make keys at once the earlier place may be committed later.
    private void ReadNewer(string scope)
    {
        lock (_reading)
        {
            using var connection = _database.Open();
            using var command = KeyDatabase.Command(
                connection,
                """SELECT "Position", "Scope", "Wrapped" FROM data_keys WHERE ("Position" > @after OR "Scope" = @scope) AND "Wrapped" IS NOT NULL ORDER BY "Position" """,
                ("@after", _readUpTo),
                ("@scope", scope));
            using var reader = command.ExecuteReader();
            while (reader.Read())
            {
                var wrapped = reader.GetString(2);

                // One of each: what is destroyed must not have a second copy somewhere.
                _keys.TryAdd(reader.GetString(1), new Lazy<byte[]?>(() => Unwrap(wrapped)));
                _readUpTo = Math.Max(_readUpTo, reader.GetInt64(0));
            }
        }
    }

    private byte[]? Unwrap(string wrapped)
    {
        try
        {
            return _protector.Unprotect(Convert.FromBase64String(wrapped));
        }
        catch (Exception fault) when (fault is CryptographicException or FormatException)
        {
            // The hub's own keys are gone or another folder's: what it sealed is said to be unreadable where it is shown.
            return null;
        }
    }
}
