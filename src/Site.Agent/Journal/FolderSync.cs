using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Journal;

/// <summary>Has the system write the names of a folder to the disk. On Linux a file that was synced and then put in another's place may otherwise still be the old one after a power cut (fsync(2), notes).</summary>
/// <remarks>Windows keeps names in its own journal and knows no such call. A folder whose disk knows no sync, as some network disks, is left as it is: the file itself is synced.</remarks>
internal static partial class FolderSync
{
    private const int ReadOnly = 0;

    /// <summary>EINVAL and ENOTSUP: this disk cannot sync a folder (fsync(2)). Numbers of Linux.</summary>
    private static readonly int[] _knowsNoSync = [22, 95];

    /// <summary>Returns when the names are on the disk.</summary>
    /// <exception cref="IOException">The disk failed: whether the names are on it is not known.</exception>
    public static void Of(string folder)
    {
        if (OperatingSystem.IsWindows())
        {
            return;
        }

        var opened = Open(folder, ReadOnly);
        if (opened < 0)
        {
            throw Failed(folder, Marshal.GetLastPInvokeError());
        }

        try
        {
            if (Sync(opened) < 0 && Marshal.GetLastPInvokeError() is var error && !_knowsNoSync.Contains(error))
            {
                throw Failed(folder, error);
            }
        }
        finally
        {
            _ = Close(opened);
        }
    }

    private static IOException Failed(string folder, int error) => new($"{folder} cannot be synced: {Marshal.GetPInvokeErrorMessage(error)}");

    [LibraryImport("libc", EntryPoint = "open", StringMarshalling = StringMarshalling.Utf8, SetLastError = true)]
    private static partial int Open(string path, int flags);

    [LibraryImport("libc", EntryPoint = "fsync", SetLastError = true)]
    private static partial int Sync(int file);

    [LibraryImport("libc", EntryPoint = "close")]
    private static partial int Close(int file);
}
