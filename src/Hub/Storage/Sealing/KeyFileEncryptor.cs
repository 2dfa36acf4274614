using System.Security.Cryptography;
using System.Xml.Linq;
using Microsoft.AspNetCore.DataProtection.XmlEncryption;

namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>Secret of the key file.</summary>
/// <param name="Key">32 bytes.</param>
internal sealed record KeyFileSecret(byte[] Key);

/// <summary>Locks the hub's own keys on the disk with the key file: AES-256-GCM over the key as XML.</summary>
internal sealed class KeyFileEncryptor(byte[] secret) : IXmlEncryptor
{
    /// <summary>Binds what is locked to its use.</summary>
    internal const string Place = "keys";

    public EncryptedXmlInfo Encrypt(XElement plaintextElement)
    {
        using var cipher = Seal.Cipher(secret);
        return new EncryptedXmlInfo(new XElement("sealed", Seal.Text(cipher, Place, plaintextElement.ToString(SaveOptions.DisableFormatting))), typeof(KeyFileDecryptor));
    }
}

/// <summary>Opens what <see cref="KeyFileEncryptor"/> locked. Made by Data Protection from its name in the file.</summary>
internal sealed class KeyFileDecryptor(IServiceProvider services) : IXmlDecryptor
{
    public XElement Decrypt(XElement encryptedElement)
    {
        using var cipher = services.GetService<KeyFileSecret>() is { } secret ? Seal.Cipher(secret.Key) : null;
        return cipher is not null && Seal.OpenText(cipher, KeyFileEncryptor.Place, encryptedElement.Value) is { } open
            ? XElement.Parse(open)
            : throw new CryptographicException("The key is locked with another key file.");
    }
}
