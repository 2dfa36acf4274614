using System.Globalization;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Cli.Doctor;

/// <summary>Whether the data folder is there, can be written, and has room.</summary>
internal static class DataFolderCheck
{
    private const string Subject = "data folder";

    /// <summary>Below this a hub may stop in the middle of a day: logs of 30 days and a year of sessions fit in it (common practice, not a measured limit).</summary>
    private const long LittleBytes = 500L * 1024 * 1024;

    /// <summary>Below this the database cannot even copy its write-ahead file.</summary>
    private const long NothingBytes = 20L * 1024 * 1024;

    public static IEnumerable<Finding> Examine(string folder)
    {
        if (!Directory.Exists(folder))
        {
            yield return new Finding(Sign.Attention, Subject, $"{folder} is not there.", "The first start makes it.");
            yield break;
        }

        yield return Writable(folder);

        // The demonstration keeps its hub in a folder of its own, beside the kit's.
        if (new[] { folder, Path.Combine(folder, "hub") }.Any(FolderLock.IsHeld))
        {
            yield return new Finding(Sign.Ok, "hub on it", $"{folder} is in use by a running hub.");
        }

        var free = new DriveInfo(folder).AvailableFreeSpace;
        var text = string.Create(CultureInfo.InvariantCulture, $"{free / (1024 * 1024)} MB free at {folder}.");
        yield return free < NothingBytes ? new Finding(Sign.Fault, "disk", text, "Make room before any session: an event that cannot be stored is refused.")
            : free < LittleBytes ? new Finding(Sign.Attention, "disk", text, "Make room soon.")
            : new Finding(Sign.Ok, "disk", text);
    }

    private static Finding Writable(string folder)
    {
        try
        {
            WritableFolder.Prepare(new DirectoryInfo(folder), "--data");
            return new Finding(Sign.Ok, Subject, $"{folder} can be written.");
        }
        catch (CliFault fault)
        {
            return new Finding(Sign.Fault, Subject, fault.Message);
        }
    }
}
