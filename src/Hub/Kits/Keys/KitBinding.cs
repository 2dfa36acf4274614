using System.Security.Cryptography;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Keys;

/// <summary>What a greeted connection is bound to: the kit's key and the name of the link. It ends with the link, and with it what the key is good for. Any thread.</summary>
internal sealed class KitBinding : IDisposable
{
    private readonly Lock _lock = new();
    private readonly byte[] _written;
    private ECDsa? _key = ECDsa.Create();
    private bool _over;

    /// <param name="keyPem">Public key of the kit.</param>
    /// <param name="link">Name of the link.</param>
    /// <exception cref="ArgumentException">It is no key in PEM form.</exception>
    /// <exception cref="CryptographicException">It cannot be read.</exception>
    public KitBinding(string keyPem, string link)
    {
        _key.ImportFromPem(keyPem);
        _written = _key.ExportSubjectPublicKeyInfo();
        Thumbprint = KitThumbprint.Of(_key);
        Link = link;
    }

    /// <summary>Thumbprint of the kit's key.</summary>
    public string Thumbprint { get; }

    /// <summary>Name of the link.</summary>
    public string Link { get; }

    /// <summary>A message signed with the kit's key; nothing when it is not, or when the link is over.</summary>
    public T? Open<T>(string type, string? compact)
        where T : class
    {
        lock (_lock)
        {
            return _over ? null : KitJws.Open<T>(_key ??= Read(), type, compact);
        }
    }

    /// <summary>Lets go of the key as the library of ciphers holds it, fifty times as large as it is written: a link may stand for long before the kit reports anything. It is read again when something comes.</summary>
    public void Rest()
    {
        lock (_lock)
        {
            _key?.Dispose();
            _key = null;
        }
    }

    public void Dispose()
    {
        lock (_lock)
        {
            _over = true;
            _key?.Dispose();
        }
    }

    private ECDsa Read()
    {
        var key = ECDsa.Create();
        key.ImportSubjectPublicKeyInfo(_written, out _);
        return key;
    }
}
