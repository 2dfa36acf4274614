using System.Runtime.CompilerServices;
using System.Security.Cryptography;

namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>Ciphers that are set up for a key and wait for the next record under it: setting one up costs more than sealing a short record. Few, so that of many keys only those in use cost memory. Any thread.</summary>
internal sealed class ReadyCiphers : IDisposable
{
    /// <summary>Ciphers that wait, at most (design): some more than sessions that test at once.</summary>
    private const int Places = 64;

    private readonly ReadyCipher?[] _waiting = new ReadyCipher?[Places];
    private readonly Lock _settingUp = new();

    /// <summary>A cipher for a key, for this caller alone until it is disposed of, once.</summary>
    /// <returns>Null when the key was destroyed.</returns>
    public ReadyCipher? Take(byte[] key)
    {
        var found = Interlocked.Exchange(ref Place(key), null);
        if (found?.IsFor(key) == true)
        {
            return found;
        }

        found?.Close();
        lock (_settingUp)
        {
            return IsDestroyed(key) ? null : new ReadyCipher(key, this);
        }
    }

    /// <summary>Overwrites a key, and lets go of what waits for it.</summary>
    public void Destroy(byte[] key)
    {
        lock (_settingUp)
        {
            CryptographicOperations.ZeroMemory(key);
        }

        Empty(key);
    }

    public void Dispose()
    {
        for (var place = 0; place < Places; place++)
        {
            Interlocked.Exchange(ref _waiting[place], null)?.Close();
        }
    }

    /// <summary>Puts one back.</summary>
    internal void Return(ReadyCipher cipher, byte[] key)
    {
        Interlocked.Exchange(ref Place(key), cipher)?.Close();

        // Looked at after it was put back: a key that is destroyed later is looked for later too.
        if (IsDestroyed(key))
        {
            Empty(key);
        }
    }

    private static bool IsDestroyed(byte[] key) => !key.AsSpan().ContainsAnyExcept((byte)0);

    private void Empty(byte[] key) => Interlocked.Exchange(ref Place(key), null)?.Close();

    /// <summary>Where the cipher of a key waits. Two keys may have the same place; then the later one takes it.</summary>
    private ref ReadyCipher? Place(byte[] key) => ref _waiting[(uint)RuntimeHelpers.GetHashCode(key) % Places];
}

/// <summary>AES-256-GCM set up for a key. One thread at a time; disposing of it gives it back.</summary>
internal sealed class ReadyCipher(byte[] key, ReadyCiphers home) : IDisposable
{
    public AesGcm Cipher { get; } = Seal.Cipher(key);

    /// <summary>Whether it is set up for this very key.</summary>
    public bool IsFor(byte[] other) => ReferenceEquals(key, other);

    public void Dispose() => home.Return(this, key);

    /// <summary>Lets go of the key for good.</summary>
    internal void Close() => Cipher.Dispose();
}
