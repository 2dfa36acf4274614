using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using Microsoft.IdentityModel.JsonWebTokens;
using Microsoft.IdentityModel.Tokens;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Link;

/// <summary>Who this kit is to its hub: its id and the private key that never leaves it.</summary>
internal sealed class KitCredential : IDisposable
{
    private const string KeyFile = "kit-key.pem";
    private const string IdentityFile = "identity.json";

    /// <summary>How long one assertion is good for; the hub accepts at most 60 s.</summary>
    private static readonly TimeSpan _tokenLife = TimeSpan.FromSeconds(45);
    private static readonly JsonWebTokenHandler _tokens = new() { SetDefaultTimesOnTokenCreation = false };
    private readonly ECDsa _key;

    private KitCredential(Identity identity, ECDsa key) => (Who, _key) = (identity, key);

    /// <summary>The identity as stored.</summary>
    public Identity Who { get; }

    /// <summary>Reads the credential; nothing when the kit is not enrolled.</summary>
    /// <exception cref="InvalidDataException">A file is damaged.</exception>
    public static KitCredential? Load(string folder, IDurableFiles files)
    {
        var identity = files.ReadWhole(Path.Combine(folder, IdentityFile));
        var pem = files.ReadWhole(Path.Combine(folder, KeyFile));
        if (identity is null || pem is null)
        {
            return null;
        }

        var key = ECDsa.Create();
        try
        {
            key.ImportFromPem(Encoding.ASCII.GetString(pem));
            return new KitCredential(JsonSerializer.Deserialize<Identity>(identity, Protocol.Json)!, key);
        }
        catch (Exception fault) when (fault is ArgumentException or CryptographicException or JsonException)
        {
            key.Dispose();
            throw new InvalidDataException($"The kit's credential in {folder} is damaged. Enrol the kit anew with a new code.", fault);
        }
    }

    /// <summary>Stores a new credential, readable by the owner of the agent's account alone.</summary>
    public static void Store(string folder, IDurableFiles files, Identity identity, ECDsa key)
    {
        files.Replace(Path.Combine(folder, KeyFile), Encoding.ASCII.GetBytes(key.ExportPkcs8PrivateKeyPem()));
        files.Replace(Path.Combine(folder, IdentityFile), JsonSerializer.SerializeToUtf8Bytes(identity, Protocol.Json));
    }

    /// <summary>Signs a fresh assertion for one connection (ES256).</summary>
    public string Token(TimeProvider time)
    {
        var now = time.GetUtcNow().UtcDateTime;
        return _tokens.CreateToken(new SecurityTokenDescriptor
        {
            Issuer = Who.KitId.Value,
            Audience = Protocol.KitAudience,
            IssuedAt = now,
            Expires = now + _tokenLife,
            Claims = new Dictionary<string, object> { [JwtRegisteredClaimNames.Sub] = Who.KitId.Value, [JwtRegisteredClaimNames.Jti] = Guid.NewGuid().ToString("N") },
            SigningCredentials = new SigningCredentials(new ECDsaSecurityKey(_key) { KeyId = Who.KitId.Value }, SecurityAlgorithms.EcdsaSha256)
            {
                // a cached signer would outlive the key
                CryptoProviderFactory = new CryptoProviderFactory { CacheSignatureProviders = false },
            },
        });
    }

    public void Dispose() => _key.Dispose();
}

/// <summary>What a kit was told when it enrolled.</summary>
/// <param name="KitId">Its id.</param>
/// <param name="Hub">The hub it enrolled with.</param>
/// <param name="CodeHash">SHA-256 of the enrolment code used, so that starting again with the same command line does not enrol twice.</param>
internal sealed record Identity(KitId KitId, string Hub, string CodeHash);
