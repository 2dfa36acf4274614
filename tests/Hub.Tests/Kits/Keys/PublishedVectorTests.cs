using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;
using Microsoft.Extensions.Time.Testing;
using Microsoft.IdentityModel.JsonWebTokens;
using Microsoft.IdentityModel.Tokens;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Keys;

namespace TeleHearing.Hub.Tests.Kits.Keys;

/// <summary>Signatures, thumbprints and proofs against the examples of the standards they follow, and against a library written by others.</summary>
public sealed class PublishedVectorTests
{
    /// <summary>Thumbprint of the example key (RFC 9449 section 6.1, figure 9; made by RFC 7638).</summary>
    private const string ExampleThumbprint = "0ZcOCORZNYy-DWpqq30jZyJGHTN0d2HglBV3uiguA4I";

    /// <summary>Example token (RFC 9449 section 7.1, figure 13).</summary>
    private const string ExampleToken = "Kz~8mXK1EalYznwH-LC-1fBAo.4Ljp~zsPE_NeO.gxU";

    /// <summary>Its proof (the same figure).</summary>
    private const string ExampleProof =
        "eyJ0eXAiOiJkcG9wK2p3dCIsImFsZyI6IkVTMjU2IiwiandrIjp7Imt0eSI6IkVDIiwieCI6Imw4dEZyaHgtMzR0VjNoUklDUkRZOXpDa0RscEJoRjQyVVFVZldWQVdCR"
        + "nMiLCJ5IjoiOVZFNGpmX09rX282NHpiVFRsY3VOSmFqSG10NnY5VERWclUwQ2R2R1JEQSIsImNydiI6IlAtMjU2In19.eyJqdGkiOiJlMWozVl9iS2ljOC1MQUVCIiwiaHRtIj"
        + "oiR0VUIiwiaHR1IjoiaHR0cHM6Ly9yZXNvdXJjZS5leGFtcGxlLm9yZy9wcm90ZWN0ZWRyZXNvdXJjZSIsImlhdCI6MTU2MjI2MjYxOCwiYXRoIjoiZlVIeU8ycjJaM0RaNTNF"
        + "c05yV0JiMHhXWG9hTnk1OUlpS0NBcWtzbVFFbyJ9.2oW9RP35yRqzhrtNP86L-Ey71EOptxRimPPToA1plemAgR6pxHF8y6-yqyVnmcw6Fy1dqd-jfxSYoMxhAJpLjA";

    private static readonly DateTimeOffset _exampleTime = DateTimeOffset.FromUnixTimeSeconds(1562262618);

    private static readonly ProvenRequest _exampleRequest = new("GET", "https", "resource.example.org", "/protectedresource");

    [Fact]
    public void TheExampleOfEs256IsVerifiedAndAChangedOneIsNot()
    {
        // RFC 7515 appendix A.3.
        using var key = PublicKey("f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU", "x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0");
        const string Signed = "eyJhbGciOiJFUzI1NiJ9.eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQogImh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290Ijp0cnVlfQ"
            + ".DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmXFCgfTjDxw5djxLa8ISlSApmWQxfKTUJqPP3-Kg6NU1Q";

        Assert.Equal("{\"iss\":\"joe\",\r\n \"exp\":1300819380,\r\n \"http://example.com/is_root\":true}", Encoding.UTF8.GetString(KitJws.OpenBytes(key, null, Signed)!));
        Assert.Null(KitJws.OpenBytes(key, KitJws.Order, Signed));
        Assert.Null(KitJws.OpenBytes(key, null, Signed.Replace("eyJpc3Mi", "eyJpc3Mj", StringComparison.Ordinal)));
        Assert.Null(KitJws.OpenBytes(key, null, Signed[..^4] + "AAAA"));
    }

    [Fact]
    public void TheThumbprintIsThePublishedOne()
    {
        using var key = PublicKey("l8tFrhx-34tV3hRICRDY9zCkDlpBhF42UQUfWVAWBFs", "9VE4jf_Ok_o64zbTTlcuNJajHmt6v9TDVrU0CdvGRDA");

        Assert.Equal(ExampleThumbprint, KitThumbprint.Of(key));
        Assert.Equal(ExampleThumbprint, KitThumbprint.OfPem(key.ExportSubjectPublicKeyInfoPem()));
    }

    [Fact]
    public void TheHashOfATokenIsThePublishedOne() => Assert.Equal("fUHyO2r2Z3DZ53EsNrWBb0xWXoaNy59IiKCAqksmQEo", KitProof.HashOf(ExampleToken));

    [Fact]
    public async Task ThePublishedProofHoldsOnceForItsRequestItsTokenAndItsTime()
    {
        var clock = new FakeTimeProvider(_exampleTime);
        var proofs = new KitProofs(new Remembered(), clock);

        Assert.Contains("another request", await proofs.Fault(ExampleProof, _exampleRequest with { Method = "POST" }, ExampleToken, ExampleThumbprint), StringComparison.Ordinal);
        Assert.Contains("another request", await proofs.Fault(ExampleProof, _exampleRequest with { Path = "/other" }, ExampleToken, ExampleThumbprint), StringComparison.Ordinal);
        Assert.Contains("another request", await proofs.Fault(ExampleProof, _exampleRequest with { Host = "elsewhere.example.org" }, ExampleToken, ExampleThumbprint), StringComparison.Ordinal);
        Assert.Contains("another token", await proofs.Fault(ExampleProof, _exampleRequest, ExampleToken + "x", ExampleThumbprint), StringComparison.Ordinal);
        Assert.Contains("another key", await proofs.Fault(ExampleProof, _exampleRequest, ExampleToken, "another thumbprint"), StringComparison.Ordinal);
        Assert.Contains("does not hold", await proofs.Fault(ExampleProof[..^4] + "AAAA", _exampleRequest, ExampleToken, ExampleThumbprint), StringComparison.Ordinal);
        Assert.Null(await proofs.Fault(ExampleProof, _exampleRequest, ExampleToken, ExampleThumbprint));
        Assert.Contains("used before", await proofs.Fault(ExampleProof, _exampleRequest, ExampleToken, ExampleThumbprint), StringComparison.Ordinal);

        var late = new FakeTimeProvider(_exampleTime + TimeSpan.FromMinutes(4));
        Assert.Contains("4 minutes behind", await new KitProofs(new Remembered(), late).Fault(ExampleProof, _exampleRequest, ExampleToken, ExampleThumbprint), StringComparison.Ordinal);
        var early = new FakeTimeProvider(_exampleTime - TimeSpan.FromMinutes(3));
        Assert.Contains("3 minutes ahead", await new KitProofs(new Remembered(), early).Fault(ExampleProof, _exampleRequest, ExampleToken, ExampleThumbprint), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ALibraryOfOthersReadsWhatIsSignedHereAndTheReverse()
    {
        using var key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        using var other = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var security = new ECDsaSecurityKey(key) { CryptoProviderFactory = new CryptoProviderFactory { CacheSignatureProviders = false } };
        var library = new JsonWebTokenHandler();
        var now = TimeProvider.System.GetUtcNow();

        var read = await library.ValidateTokenAsync(KitJws.Sign(key, KitJws.Assertion, KitAssertion.Of(new KitId("kit-01"), now)), new TokenValidationParameters
        {
            ValidIssuer = "kit-01",
            ValidAudience = Protocol.KitAudience,
            ValidAlgorithms = [SecurityAlgorithms.EcdsaSha256],
            IssuerSigningKey = security,
        });
        var written = library.CreateToken(
            "{\"iss\":\"kit-01\"}",
            new SigningCredentials(security, SecurityAlgorithms.EcdsaSha256),
            new Dictionary<string, object> { ["typ"] = KitJws.Order });

        Assert.True(read.IsValid, read.Exception?.Message);
        Assert.Equal(KitThumbprint.Of(key), Base64Url.EncodeToString(JsonWebKeyConverter.ConvertFromECDsaSecurityKey(security).ComputeJwkThumbprint()));
        Assert.Equal("{\"iss\":\"kit-01\"}", Encoding.UTF8.GetString(KitJws.OpenBytes(key, KitJws.Order, written)!));
        Assert.Null(KitJws.OpenBytes(other, KitJws.Order, written));
    }

    [Fact]
    public void AMessageThatChoosesItsOwnAlgorithmIsNotOpened()
    {
        using var key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var payload = Base64Url.EncodeToString("{}"u8);

        // RFC 8725 section 3.1: the reader decides which algorithm it takes.
        foreach (var header in new[] { """{"alg":"none","typ":"JWT"}""", """{"alg":"HS256","typ":"JWT"}""", """{"alg":"ES256","typ":"JWT","crit":["x"]}""", """["ES256"]""", "no json" })
        {
            var text = $"{Base64Url.EncodeToString(Encoding.UTF8.GetBytes(header))}.{payload}";
            var signature = key.SignData(Encoding.ASCII.GetBytes(text), HashAlgorithmName.SHA256);
            Assert.Null(KitJws.OpenBytes(key, KitJws.Assertion, $"{text}.{Base64Url.EncodeToString(signature)}"));
            Assert.Null(KitJws.OpenBytes(key, KitJws.Assertion, $"{text}."));
        }
    }

    private static ECDsa PublicKey(string x, string y) => ECDsa.Create(new ECParameters
    {
        Curve = ECCurve.NamedCurves.nistP256,
        Q = new ECPoint { X = Base64Url.DecodeFromChars(x), Y = Base64Url.DecodeFromChars(y) },
    });

    /// <summary>Numbers taken so far, without a store.</summary>
    private sealed class Remembered : ISeenOnce
    {
        private readonly HashSet<string> _taken = [];

        public Task<bool> Take(string number, DateTimeOffset until) => Task.FromResult(_taken.Add(number));
    }
}
