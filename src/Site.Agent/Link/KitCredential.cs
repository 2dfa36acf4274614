using System.Security.Cryptography;
using System.Text.Json;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Link;

/// <summary>Who this kit is to its hub: its id, the private key that never leaves it, and the hub's public key. Any thread.</summary>
internal sealed class KitCredential : IDisposable
{
    private const string IdentityFile = "identity.json";
    private readonly ECDsa _key;
    private readonly ECDsa _hubKey;
    private readonly Lock _lock = new();

    private KitCredential(Identity identity, ECDsa key, ECDsa hubKey)
    {
        (Who, _key, _hubKey) = (identity, key, hubKey);
        Thumbprint = KitThumbprint.Of(key);
    }

    /// <summary>The identity as stored.</summary>
    public Identity Who { get; }

    /// <summary>Thumbprint of the kit's key (RFC 7638).</summary>
    public string Thumbprint { get; }

    /// <summary>Reads the credential; nothing when the kit is not enrolled.</summary>
    /// <exception cref="InvalidDataException">A file is damaged.</exception>
    public static KitCredential? Load(string folder, IDurableFiles files)
    {
        ECDsa? key = null;
        var hubKey = ECDsa.Create();
        try
        {
            var identity = files.ReadWhole(Path.Combine(folder, IdentityFile));
            key = KitKeyStore.Find(folder, files);
            if (identity is null || key is null)
            {
                key?.Dispose();
                hubKey.Dispose();
                return null;
            }

            var who = JsonSerializer.Deserialize<Identity>(identity, Protocol.Json)!;
            hubKey.ImportFromPem(who.HubKeyPem);
            return new KitCredential(who, key, hubKey);
        }
        catch (Exception fault) when (fault is ArgumentException or CryptographicException or JsonException)
        {
            key?.Dispose();
            hubKey.Dispose();
            throw new InvalidDataException($"The kit's credential in {folder} is damaged, or of an older version. Enrol the kit anew with a new code.", fault);
        }
    }

    /// <summary>Stores a new credential; the private key where <see cref="KitKeyStore"/> says.</summary>
    public static void Store(string folder, IDurableFiles files, Identity identity, NewKey key)
    {
        KitKeyStore.Keep(folder, files, key);
        files.Replace(Path.Combine(folder, IdentityFile), JsonSerializer.SerializeToUtf8Bytes(identity, Protocol.Json));
    }

    /// <summary>Signs a message with the kit's key.</summary>
    public string Sign<T>(string type, T message, bool wholeKey = false)
    {
        lock (_lock)
        {
            return KitJws.Sign(_key, wholeKey ? null : Thumbprint, type, message);
        }
    }

    /// <summary>An order of the hub this kit was enrolled with, for this kit, its key and this link; nothing when it is anything else.</summary>
    public StepOrder? Open(SignedOrder signed, string link) =>
        OpenOfHub<KitOrder>(KitJws.Order, signed?.Signed) is { } order && order.KitId == Who.KitId && order.Key == Thumbprint && order.Link == link ? order.Order : null;

    /// <summary>Whether an answer to a hello is from the hub this kit was enrolled with.</summary>
    public bool IsOfHub(KitWelcome welcome, string link) => OpenOfHub<KitWelcomeProof>(KitJws.Welcome, welcome.Proof) == new KitWelcomeProof(Who.KitId, link);

    public void Dispose()
    {
        _key.Dispose();
        _hubKey.Dispose();
    }

    private T? OpenOfHub<T>(string type, string? compact)
        where T : class
    {
        lock (_lock)
        {
            return KitJws.Open<T>(_hubKey, type, compact);
        }
    }
}

/// <summary>What a kit was told when it enrolled.</summary>
/// <param name="KitId">Its id.</param>
/// <param name="Hub">The hub it enrolled with.</param>
/// <param name="CodeHash">SHA-256 of the enrolment code used, so that starting again with the same command line does not enrol twice.</param>
/// <param name="HubKeyPem">Public half of the key the hub signs orders with.</param>
internal sealed record Identity(KitId KitId, string Hub, string CodeHash, string HubKeyPem);
