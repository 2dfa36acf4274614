using System.Collections.Concurrent;
using System.Security.Cryptography;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.Data.Sqlite;
using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>The keys that seal what is stored, wrapped in the database by the hub's own keys and opened in memory. Any thread.</summary>
/// <remarks>Reads and writes by a connection of its own: a key is durable before anything is sealed with it, and rows are opened while another read is under way.</remarks>
internal sealed class DataKeys
{
    /// <summary>AES-256.</summary>
    private const int KeyBytes = 32;

    private readonly string _database;
    private readonly IDataProtector _protector;
    private readonly TimeProvider _time;
    private readonly Lock _reading = new();
    private readonly ConcurrentDictionary<string, Lazy<byte[]?>> _keys = new(StringComparer.Ordinal);
    private long _readUpTo;

    public DataKeys(HubSettings settings, IDataProtectionProvider protection, TimeProvider time)
    {
        _database = new SqliteConnectionStringBuilder { DataSource = Path.Combine(settings.DataFolder, StorageRegistration.FileName), Mode = SqliteOpenMode.ReadWrite }.ToString();
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
            ReadNewer();
            key = _keys.GetValueOrDefault(scope);
        }

        return key?.Value;
    }

    /// <summary>The key of a scope, made and durable before anything is sealed with it. Not inside a transaction that writes: the database takes one writer at a time.</summary>
    public byte[] Ensure(string scope)
    {
        if (Find(scope) is { } known)
        {
            return known;
        }

        using (var connection = Open())
        {
            using var command = connection.CreateCommand();

            // Another process may have been faster: then its key counts.
            command.CommandText = "INSERT OR IGNORE INTO data_keys (Scope, Wrapped, MadeTicks) VALUES ($scope, $wrapped, $made)";
            command.Parameters.AddWithValue("$scope", scope);
            command.Parameters.AddWithValue("$wrapped", NewKey());
            command.Parameters.AddWithValue("$made", _time.GetUtcNow().UtcTicks);
            command.ExecuteNonQuery();
        }

        return Find(scope) ?? throw new CryptographicException($"The key of {scope} was destroyed, or the keys of this data folder do not open it.");
    }

    /// <summary>A new key as it is stored.</summary>
    public string NewKey() => Convert.ToBase64String(_protector.Protect(RandomNumberGenerator.GetBytes(KeyBytes)));

    /// <summary>Lets go of a key that was destroyed.</summary>
    public void Forget(string scope)
    {
        if (_keys.TryRemove(scope, out var key) && key is { IsValueCreated: true, Value: { } bytes })
        {
            CryptographicOperations.ZeroMemory(bytes);
        }
    }

    private void ReadNewer()
    {
        lock (_reading)
        {
            using var connection = Open();
            using var command = connection.CreateCommand();
            command.CommandText = "SELECT Position, Scope, Wrapped FROM data_keys WHERE Position > $after AND Wrapped IS NOT NULL ORDER BY Position";
            command.Parameters.AddWithValue("$after", _readUpTo);
            using var reader = command.ExecuteReader();
            while (reader.Read())
            {
                var wrapped = reader.GetString(2);
                _keys[reader.GetString(1)] = new Lazy<byte[]?>(() => Unwrap(wrapped));
                _readUpTo = reader.GetInt64(0);
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

    private SqliteConnection Open()
    {
        var connection = new SqliteConnection(_database);
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = "PRAGMA busy_timeout=5000; PRAGMA synchronous=FULL;";
        command.ExecuteNonQuery();
        return connection;
    }
}
