using System.Buffers.Binary;
using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>An authenticator of W3C Web Authentication Level 3 in software: one ES256 key, no attestation. Structures by sections 6.1 (authenticator data), 5.8.1 (client data) and 6.5.1 of it, keys by RFC 9053.</summary>
internal sealed class SoftPasskey : IDisposable
{
    private const byte UserPresent = 0x01;
    private const byte UserVerified = 0x04;
    private const byte AttestedData = 0x40;

    private readonly ECDsa _key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
    private readonly byte[] _id = RandomNumberGenerator.GetBytes(16);
    private readonly string _origin;
    private readonly string _domain;
    private byte[] _user = [];
    private uint _uses;

    public SoftPasskey(Uri hub) => (_origin, _domain) = (hub.GetLeftPart(UriPartial.Authority), hub.Host);

    public void Dispose() => _key.Dispose();

    /// <summary>Answers a question for a new passkey.</summary>
    public string Make(string question)
    {
        var options = JsonNode.Parse(question)!;
        _user = Base64Url.DecodeFromChars(options["user"]!["id"]!.GetValue<string>());
        var point = _key.ExportParameters(includePrivateParameters: false).Q;
        byte[] publicKey = [0xa5, 0x01, 0x02, 0x03, 0x26, 0x20, 0x01, 0x21, 0x58, 0x20, .. point.X!, 0x22, 0x58, 0x20, .. point.Y!];
        byte[] data = [.. Head(UserPresent | UserVerified | AttestedData), .. new byte[16], 0x00, (byte)_id.Length, .. _id, .. publicKey];
        byte[] attestation = [0xa3, .. Text("fmt"), .. Text("none"), .. Text("attStmt"), 0xa0, .. Text("authData"), 0x58, (byte)data.Length, .. data];
        return Answer(new { clientDataJSON = Encode(ClientData("webauthn.create", options)), attestationObject = Encode(attestation), transports = Array.Empty<string>() });
    }

    /// <summary>Answers a question for a passkey that is there.</summary>
    /// <param name="question">The question.</param>
    /// <param name="verified">Whether finger, face or PIN was asked for.</param>
    public string Show(string question, bool verified = true)
    {
        _uses++;
        var client = ClientData("webauthn.get", JsonNode.Parse(question)!);
        var data = Head(verified ? (byte)(UserPresent | UserVerified) : UserPresent);
        var signature = _key.SignData([.. data, .. SHA256.HashData(client)], HashAlgorithmName.SHA256, DSASignatureFormat.Rfc3279DerSequence);
        return Answer(new { clientDataJSON = Encode(client), authenticatorData = Encode(data), signature = Encode(signature), userHandle = Encode(_user) });
    }

    private byte[] Head(byte flags)
    {
        var counter = new byte[4];
        BinaryPrimitives.WriteUInt32BigEndian(counter, _uses);
        return [.. SHA256.HashData(Encoding.UTF8.GetBytes(_domain)), flags, .. counter];
    }

    private byte[] ClientData(string type, JsonNode options) =>
        JsonSerializer.SerializeToUtf8Bytes(new { type, challenge = options["challenge"]!.GetValue<string>(), origin = _origin, crossOrigin = false });

    private string Answer(object response) => JsonSerializer.Serialize(new { id = Encode(_id), rawId = Encode(_id), type = "public-key", clientExtensionResults = new { }, response });

    /// <summary>A short text in CBOR (RFC 8949, 3.1).</summary>
    private static byte[] Text(string text) => [(byte)(0x60 | text.Length), .. Encoding.ASCII.GetBytes(text)];

    private static string Encode(byte[] bytes) => Base64Url.EncodeToString(bytes);
}
