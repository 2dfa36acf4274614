using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Journal;

/// <summary>Has the system write the names of a folder to the disk. On Linux a file that was synced and then put in another's place may otherwise still be the old one after a power cut (fsync(2), notes).</summary>
/// <remarks>Windows keeps names in its own journal and knows no such call. A folder that cannot be synced, as on some network disks, is left as it is: the file itself is synced.</remarks>
internal static partial class FolderSync
{
    private const int ReadOnly = 0;

    /// <summary>Returns when the names are on the disk.</summary>
    public static void Of(string folder)
    {
        if (OperatingSystem.IsWindows())
        {
            return;
        }

        var opened = Open(folder, ReadOnly);
        if (opened < 0)
        {
            return;
        }

        try
        {
            _ = Sync(opened);
        }
        finally
        {
            _ = Close(opened);
        }
    }

    [LibraryImport("libc", EntryPoint = "open", StringMarshalling = StringMarshalling.Utf8)]
    private static partial int Open(string path, int flags);

    [LibraryImport("libc", EntryPoint = "fsync")]
    private static partial int Sync(int file);

    [LibraryImport("libc", EntryPoint = "close")]
    private static partial int Close(int file);
}
