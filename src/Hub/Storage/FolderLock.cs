namespace TeleHearing.Hub.Storage;

/// <summary>Holds a data folder for one hub. Two hubs on one folder would answer for the same sessions, each without knowing of the kits linked to the other.</summary>
/// <remarks>An open file that nobody else may open: the system lets go of it when the process ends, however it ends (flock(2) on Linux).</remarks>
internal sealed class FolderLock : IDisposable
{
    public const string FileName = "hub.lock";

    /// <summary>How long a hub that is just ending, or was just killed, is waited for.</summary>
    private static readonly TimeSpan _patience = TimeSpan.FromSeconds(3);

    private static readonly TimeSpan _between = TimeSpan.FromMilliseconds(100);

    private readonly FileStream _file;

    private FolderLock(FileStream file) => _file = file;

    /// <summary>Takes the folder, which must exist.</summary>
    /// <returns>The lock, or nothing when another hub holds it.</returns>
    /// <exception cref="IOException">The file cannot be made, for another reason than a hub that holds it.</exception>
    /// <exception cref="UnauthorizedAccessException">The file may not be opened.</exception>
    public static async Task<FolderLock?> Take(string folder, TimeProvider clock, CancellationToken cancellationToken)
    {
        var began = clock.GetTimestamp();
        while (true)
        {
            if (TryOpen(Path.Combine(folder, FileName), FileMode.OpenOrCreate) is { } file)
            {
                return new FolderLock(file);
            }

            if (clock.GetElapsedTime(began) > _patience)
            {
                return null;
            }

            await Task.Delay(_between, clock, cancellationToken);
        }
    }

    /// <summary>Whether a hub runs on the folder. Changes nothing.</summary>
    public static bool IsHeld(string folder)
    {
        var path = Path.Combine(folder, FileName);
        if (!File.Exists(path))
        {
            return false;
        }

        using var file = TryOpen(path, FileMode.Open);
        return file is null;
    }

    public void Dispose() => _file.Dispose();

    /// <summary>ERROR_SHARING_VIOLATION on Windows, EWOULDBLOCK of flock(2) on Linux (11) and macOS (35); on Unix the runtime passes the number on as it is.</summary>
    private static bool IsHeldByAnother(IOException fault) => OperatingSystem.IsWindows() ? (fault.HResult & 0xFFFF) == 32 : fault.HResult is 11 or 35;

    private static FileStream? TryOpen(string path, FileMode mode)
    {
        try
        {
            return new FileStream(path, mode, FileAccess.ReadWrite, FileShare.None);
        }
        catch (IOException fault) when (IsHeldByAnother(fault))
        {
            return null;
        }
    }
}
