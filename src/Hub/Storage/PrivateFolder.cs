namespace TeleHearing.Hub.Storage;

/// <summary>Folders and files that only the account of the hub may read, where the system knows such rights.</summary>
internal static class PrivateFolder
{
    /// <summary>Makes a folder; one that is there stays as it is.</summary>
    public static DirectoryInfo Make(string path) => OperatingSystem.IsWindows()
        ? Directory.CreateDirectory(path)
        : Directory.CreateDirectory(path, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);

    /// <summary>Takes a file from everyone else.</summary>
    public static void Close(string path)
    {
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(path, UnixFileMode.UserRead | UnixFileMode.UserWrite);
        }
    }
}
