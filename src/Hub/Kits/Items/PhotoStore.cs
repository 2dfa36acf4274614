using System.Security.Cryptography;
using System.Text.RegularExpressions;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>A photo that can be read.</summary>
/// <param name="Path">File, which holds it sealed.</param>
/// <param name="MediaType">Its media type.</param>
internal sealed record KeptPhoto(string Path, string MediaType);

/// <summary>Photos of kits' cases: files in the data folder, named by the SHA-256 of what is in them, so that the same photo is kept once and a fact that names one cannot come to mean another.</summary>
internal sealed partial class PhotoStore
{
    /// <summary>Largest photo, bytes (design).</summary>
    public const int LargestBytes = 8 * 1024 * 1024;

    /// <summary>Most photos of one kit (design): several a loan over a kit's whole life, and a bound on what a stolen sign-in can fill.</summary>
    public const int MostPerKit = 2000;

    private static readonly ImageKind[] _kinds = Enum.GetValues<ImageKind>();
    private readonly string _folder;
    private readonly Seals _seals;

    public PhotoStore(HubSettings settings, Seals seals) => (_folder, _seals) = (Path.Combine(settings.FilesFolder, "photos"), seals);

    /// <summary>Keeps a photo without its metadata.</summary>
    public async Task<PhotoReply> Keep(KitId kitId, ReadOnlyMemory<byte> file, CancellationToken cancellationToken)
    {
        if (FolderOf(kitId) is not { } folder)
        {
            return Refused(RefusalCodes.KitUnknown, "There is no such kit.", "Go back to the list of kits.");
        }

        if (file.Length > LargestBytes)
        {
            return Refused(RefusalCodes.Invalid, $"The photo is larger than {LargestBytes / 1024 / 1024} MB.", "Take it with a lower resolution.");
        }

        var image = ImageFile.Strip(file.Span);
        if (image.Fault is { } fault)
        {
            return Refused(RefusalCodes.Invalid, fault, null);
        }

        Directory.CreateDirectory(folder);
        var id = Convert.ToHexStringLower(SHA256.HashData(image.Bytes));
        var path = Path.Combine(folder, id + ImageFile.Ending(image.Kind));
        if (!File.Exists(path))
        {
            if (Directory.EnumerateFiles(folder).Skip(MostPerKit - 1).Any())
            {
                return Refused(RefusalCodes.Invalid, $"There are {MostPerKit} photos of this kit already.", "Tell whoever runs the hub.");
            }

            await Write(path, _seals.CloseFile(PlaceOf(path), image.Bytes), cancellationToken);
        }

        return new PhotoReply(id, null);
    }

    /// <summary>Finds a photo of a kit.</summary>
    public KeptPhoto? Find(KitId kitId, string photo) => FolderOf(kitId) is { } folder && PhotoId().IsMatch(photo)
        ? _kinds
            .Select(kind => new KeptPhoto(Path.Combine(folder, photo + ImageFile.Ending(kind)), ImageFile.MediaType(kind)))
            .FirstOrDefault(kept => File.Exists(kept.Path))
        : null;

    /// <summary>A photo as it was handed in.</summary>
    /// <returns>Null when it cannot be opened, or is not what its name says.</returns>
    public async Task<byte[]?> Read(KeptPhoto photo, CancellationToken cancellationToken)
    {
        var stored = await File.ReadAllBytesAsync(photo.Path, cancellationToken);
        return _seals.OpenFile(PlaceOf(photo.Path), stored) is { } open && Convert.ToHexStringLower(SHA256.HashData(open)) == Path.GetFileNameWithoutExtension(photo.Path) ? open : null;
    }

    /// <summary>Seals photos that lie open in a folder of an older version. Each is whole at every moment; one that is sealed stays as it is.</summary>
    public static async Task SealOld(string dataFolder, Seals seals, CancellationToken cancellationToken)
    {
        var folder = Path.Combine(dataFolder, "photos");
        foreach (var path in Directory.Exists(folder) ? Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories).Where(path => PhotoId().IsMatch(Path.GetFileNameWithoutExtension(path))).ToList() : [])
        {
            var content = await File.ReadAllBytesAsync(path, cancellationToken);
            if (!Seal.IsSealed(content))
            {
                await Write(path, seals.CloseFile(PlaceOf(path), content), cancellationToken);
            }
        }
    }

    // Kit and name: a photo moved to another kit does not open.
    private static string PlaceOf(string path) => $"photos/{Path.GetFileName(Path.GetDirectoryName(path))}/{Path.GetFileNameWithoutExtension(path)}";

    /// <summary>Under another name first: a file with the name of its content is whole.</summary>
    private static async Task Write(string path, byte[] bytes, CancellationToken cancellationToken)
    {
        var started = $"{path}.{Guid.CreateVersion7():N}.part";
        try
        {
            await using (var stream = new FileStream(started, FileMode.CreateNew, FileAccess.Write, FileShare.None))
            {
                await stream.WriteAsync(bytes, cancellationToken);
                stream.Flush(flushToDisk: true);
            }

            File.Move(started, path, overwrite: true);
        }
        finally
        {
            File.Delete(started);
        }
    }

    private string? FolderOf(KitId kitId) => KitName().IsMatch(kitId.Value) ? Path.Combine(_folder, kitId.Value) : null;

    private static PhotoReply Refused(string code, string sentence, string? remedy) => new(null, new Refusal(code, sentence, remedy));

    // Begins with a letter or digit: it names a folder.
    [GeneratedRegex("^[A-Za-z0-9][A-Za-z0-9.-]{0,39}$")]
    private static partial Regex KitName();

    [GeneratedRegex("^[0-9a-f]{64}$")]
    private static partial Regex PhotoId();
}
