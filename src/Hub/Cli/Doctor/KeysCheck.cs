using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Cli.Doctor;

/// <summary>Whether the hub's own keys lie open on the disk.</summary>
internal static class KeysCheck
{
    private const string Subject = "keys";

    public static IEnumerable<Finding> Examine(string folder)
    {
        // The demonstration keeps its hub in a folder of its own, beside the kit's.
        var keys = new[] { Path.Combine(folder, HubKeys.Folder), Path.Combine(folder, "hub", HubKeys.Folder) }.FirstOrDefault(Directory.Exists);
        if (keys is null)
        {
            yield break;
        }

        // How Data Protection names the secret of a key that is not locked.
        yield return Directory.EnumerateFiles(keys, "*.xml").Any(file => File.ReadAllText(file).Contains("<masterKey", StringComparison.Ordinal))
            ? new Finding(Sign.Attention, Subject, $"lie open in {keys}: whoever copies the data folder reads everything in it.", $"Encrypt the disk, or lock them with a file named in {HubSettings.KeyFileVariable} (docs/operations/data.md).")
            : new Finding(Sign.Ok, Subject, $"locked in {keys}.");
    }
}
