using System.IO.Compression;
using System.Security.Cryptography;
using System.Text.Json;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Data;

/// <summary>A file inside a backup.</summary>
/// <param name="Name">Path inside the data folder, with slashes.</param>
/// <param name="Bytes">Length.</param>
/// <param name="Sha256">Hash, hexadecimal.</param>
internal sealed record BackedUpFile(string Name, long Bytes, string Sha256);

/// <summary>What a backup holds.</summary>
/// <param name="Format">Number of this shape.</param>
/// <param name="MadeAt">When it was made.</param>
/// <param name="SchemaVersion">Version of its tables.</param>
/// <param name="Salt">Salt of the key that locks its keys, base64.</param>
/// <param name="Rounds">Rounds of PBKDF2.</param>
/// <param name="Files">Every file that lies in it as in the data folder.</param>
internal sealed record BackupManifest(int Format, DateTimeOffset MadeAt, int SchemaVersion, string Salt, int Rounds, IReadOnlyList<BackedUpFile> Files);

/// <summary>A backup: a zip file with the database and the photos as the hub keeps them, sealed, a list of them with their hashes, and the keys, locked by a passphrase or key file. The lock of the keys is bound to the list.</summary>
internal static class BackupArchive
{
    /// <summary>Shape of the archive this build writes and reads.</summary>
    public const int Format = 1;

    private const string Manifest = "manifest.json";
    private const string Keys = "keys.locked";

    /// <summary>Largest list or bundle of keys that is read, bytes: far more than a hub has.</summary>
    private const int LargestText = 64 * 1024 * 1024;

    /// <summary>Writes one.</summary>
    /// <param name="target">Takes the archive.</param>
    /// <param name="files">Files to put in, by their path inside the data folder.</param>
    /// <param name="keys">Files to lock in.</param>
    /// <param name="secret">What locks them.</param>
    /// <param name="madeAt">Time.</param>
    /// <param name="cancellationToken">Cancels.</param>
    public static async Task Write(Stream target, IReadOnlyList<(string Name, string Path)> files, IReadOnlyList<(string Name, string Path)> keys, BackupSecret secret, DateTimeOffset madeAt, CancellationToken cancellationToken)
    {
        await using var zip = await ZipArchive.CreateAsync(target, ZipArchiveMode.Create, leaveOpen: true, entryNameEncoding: null, cancellationToken);
        var list = new List<BackedUpFile>();
        foreach (var (name, path) in files)
        {
            // Sealed texts do not pack; the rest of a database does.
            await using var from = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
            await using var into = await zip.CreateEntry(name, CompressionLevel.Fastest).OpenAsync(cancellationToken);
            list.Add(await Copy(from, into, name, cancellationToken));
        }

        var salt = RandomNumberGenerator.GetBytes(16);
        var manifest = JsonSerializer.SerializeToUtf8Bytes(new BackupManifest(Format, madeAt, StorageRegistration.SchemaVersion, Convert.ToBase64String(salt), BackupSecret.Rounds, list), Protocol.Json);
        var bundle = keys.ToDictionary(key => key.Name, key => Convert.ToBase64String(File.ReadAllBytes(key.Path)), StringComparer.Ordinal);
        using var cipher = Seal.Cipher(secret.Key(salt, BackupSecret.Rounds));
        var locked = Seal.File(cipher, PlaceOf(manifest), JsonSerializer.SerializeToUtf8Bytes(bundle));
        await Put(zip, Manifest, manifest, cancellationToken);
        await Put(zip, Keys, locked, cancellationToken);
    }

    /// <summary>Unpacks one into a new folder, each file held against its hash.</summary>
    /// <exception cref="DataFault">It is damaged, of another shape, or the passphrase or key file is another one.</exception>
    public static async Task<BackupManifest> Unpack(Stream archive, string folder, BackupSecret secret, CancellationToken cancellationToken)
    {
        try
        {
            await using var zip = await ZipArchive.CreateAsync(archive, ZipArchiveMode.Read, leaveOpen: true, entryNameEncoding: null, cancellationToken);
            var text = await Get(zip, Manifest, cancellationToken);
            var manifest = JsonSerializer.Deserialize<BackupManifest>(text, Protocol.Json) ?? throw Damaged("its list of files is empty");
            if (manifest.Format != Format || manifest.SchemaVersion > StorageRegistration.SchemaVersion || manifest.Rounds is < 1 or > 100_000_000)
            {
                throw new DataFault($"The backup was made by a newer hub, with tables of version {manifest.SchemaVersion}; this hub knows them up to version {StorageRegistration.SchemaVersion}. Nothing was changed. Restore it with that hub.");
            }

            using var cipher = Seal.Cipher(secret.Key(Convert.FromBase64String(manifest.Salt), manifest.Rounds));
            var open = Seal.OpenFile(cipher, PlaceOf(text), await Get(zip, Keys, cancellationToken))
                ?? throw new DataFault("The passphrase or key file does not open this backup: it is another one, or the backup was changed. Nothing was changed here. Try the one it was made with.");
            foreach (var file in manifest.Files)
            {
                await using var from = await (zip.GetEntry(file.Name) ?? throw Damaged($"{file.Name} is missing")).OpenAsync(cancellationToken);
                await using var into = Create(folder, file.Name);
                if (await Copy(from, into, file.Name, cancellationToken) != file)
                {
                    throw Damaged($"{file.Name} is not what its hash says");
                }
            }

            foreach (var (name, content) in JsonSerializer.Deserialize<Dictionary<string, string>>(open)!)
            {
                await using var into = Create(folder, name);
                await into.WriteAsync(Convert.FromBase64String(content), cancellationToken);
            }

            return manifest;
        }
        catch (Exception fault) when (fault is InvalidDataException or JsonException or FormatException)
        {
            throw Damaged(fault.Message);
        }
    }

    private static DataFault Damaged(string how) => new($"The backup is damaged or is none: {how.TrimEnd('.')}. Nothing was changed. Use another copy of it.");

    // Binds the keys to the list: a list put in by somebody else does not open them.
    private static string PlaceOf(byte[] manifest) => "backup " + Convert.ToHexStringLower(SHA256.HashData(manifest));

    private static async Task<BackedUpFile> Copy(Stream from, Stream into, string name, CancellationToken cancellationToken)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        var (buffer, length) = (new byte[128 * 1024], 0L);
        int read;
        while ((read = await from.ReadAsync(buffer, cancellationToken)) > 0)
        {
            hash.AppendData(buffer, 0, read);
            await into.WriteAsync(buffer.AsMemory(0, read), cancellationToken);
            length += read;
        }

        return new BackedUpFile(name, length, Convert.ToHexStringLower(hash.GetHashAndReset()));
    }

    private static async Task Put(ZipArchive zip, string name, byte[] content, CancellationToken cancellationToken)
    {
        await using var entry = await zip.CreateEntry(name).OpenAsync(cancellationToken);
        await entry.WriteAsync(content, cancellationToken);
    }

    private static async Task<byte[]> Get(ZipArchive zip, string name, CancellationToken cancellationToken)
    {
        var entry = zip.GetEntry(name) ?? throw Damaged($"{name} is missing");
        if (entry.Length > LargestText)
        {
            throw Damaged($"{name} is too large");
        }

        await using var stream = await entry.OpenAsync(cancellationToken);
        using var content = new MemoryStream();
        await stream.CopyToAsync(content, cancellationToken);
        return content.ToArray();
    }

    /// <summary>A file inside the folder. A name that leads out of it is refused: the archive may come from anywhere.</summary>
    private static FileStream Create(string folder, string name)
    {
        var path = Path.GetFullPath(Path.Combine(folder, name));
        if (!path.StartsWith(Path.GetFullPath(folder) + Path.DirectorySeparatorChar, StringComparison.Ordinal))
        {
            throw Damaged($"{name} leads out of the folder");
        }

        PrivateFolder.Make(Path.GetDirectoryName(path)!);
        return new FileStream(path, FileMode.CreateNew, FileAccess.Write, FileShare.None);
    }
}
