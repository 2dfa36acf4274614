using System.Security.Cryptography;
using System.Text;

namespace TeleHearing.Hub.Data;

/// <summary>What locks the keys inside a backup: a passphrase, or the content of a key file.</summary>
internal sealed class BackupSecret
{
    /// <summary>Rounds of PBKDF2 with HMAC-SHA-256 (OWASP Password Storage Cheat Sheet, 2023: 600,000).</summary>
    public const int Rounds = 600_000;

    /// <summary>Fewest characters of a passphrase: it can be tried offline for as long as somebody likes (OWASP ASVS 5.0, 6.2: 8 at least, 15 recommended).</summary>
    public const int ShortestPassphrase = 15;

    /// <summary>Fewest bytes of a key file.</summary>
    public const int ShortestKey = 32;

    private readonly byte[] _content;
    private readonly bool _stretch;

    private BackupSecret(byte[] content, bool stretch) => (_content, _stretch) = (content, stretch);

    /// <summary>By a passphrase.</summary>
    /// <exception cref="DataFault">It is too short.</exception>
    public static BackupSecret Passphrase(string passphrase) => passphrase.Length >= ShortestPassphrase
        ? new BackupSecret(Encoding.UTF8.GetBytes(passphrase.Normalize(NormalizationForm.FormC)), stretch: true)
        : throw new DataFault($"The passphrase has {passphrase.Length} characters, and at least {ShortestPassphrase} are needed: whoever finds the backup can try as long as they like. Nothing was done.");

    /// <summary>By a file.</summary>
    /// <exception cref="DataFault">It cannot be read or holds too little.</exception>
    public static BackupSecret Read(FileInfo? passphraseFile, FileInfo? keyFile)
    {
        if (passphraseFile is null == keyFile is null)
        {
            throw new DataFault("Name either --passphrase-file or --key-file. Nothing was done.");
        }

        var file = (passphraseFile ?? keyFile)!;
        try
        {
            if (passphraseFile is not null)
            {
                return Passphrase(File.ReadLines(file.FullName).FirstOrDefault() ?? string.Empty);
            }

            var content = File.ReadAllBytes(file.FullName);
            return content.Length >= ShortestKey
                ? new BackupSecret(content, stretch: false)
                : throw new DataFault($"The key file {file} holds {content.Length} bytes, and at least {ShortestKey} are needed. Nothing was done. Make one with: head -c 32 /dev/urandom > {file}");
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new DataFault($"{file} cannot be read: {fault.Message} Nothing was done.");
        }
    }

    /// <summary>The key for a salt.</summary>
    public byte[] Key(byte[] salt, int rounds) => _stretch
        ? Rfc2898DeriveBytes.Pbkdf2(_content, salt, rounds, HashAlgorithmName.SHA256, 32)
        : HKDF.DeriveKey(HashAlgorithmName.SHA256, _content, 32, salt, "TeleHearing backup"u8.ToArray());
}
