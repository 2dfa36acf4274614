namespace TeleHearing.Site.Agent.Hosting;

/// <summary>Holds a kit's data folder for one program. Two would write into one journal and take the same orders.</summary>
/// <remarks>An open file that nobody else may open: the system lets go of it when the process ends, however it ends (flock(2) on Linux).</remarks>
internal static class KitFolderLock
{
    public const string FileName = "kit.lock";

    /// <summary>How long a program that is just ending is waited for: it ends its step and closes its sound first.</summary>
    private static readonly TimeSpan _patience = TimeSpan.FromSeconds(5);

    private static readonly TimeSpan _between = TimeSpan.FromMilliseconds(100);

    /// <summary>Takes the folder, which must exist; disposing gives it back.</summary>
    /// <exception cref="FatalFaultException">Another program holds it.</exception>
    public static async Task<IDisposable> TakeAsync(string folder, TimeProvider time, CancellationToken cancellationToken)
    {
        var began = time.GetTimestamp();
        while (true)
        {
            try
            {
                return new FileStream(Path.Combine(folder, FileName), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
            }
            catch (IOException fault) when (IsHeldByAnother(fault) && time.GetElapsedTime(began) <= _patience)
            {
                await Task.Delay(_between, time, cancellationToken);
            }
            catch (IOException fault) when (IsHeldByAnother(fault))
            {
                throw new FatalFaultException($"Another site agent runs on {folder}. Nothing was started. End that one, or give this one a folder of its own with --data DIR.", fault);
            }
        }
    }

    /// <summary>ERROR_SHARING_VIOLATION on Windows, EWOULDBLOCK of flock(2) on Linux (11) and macOS (35); on Unix the runtime passes the number on as it is.</summary>
    private static bool IsHeldByAnother(IOException fault) => OperatingSystem.IsWindows() ? (fault.HResult & 0xFFFF) == 32 : fault.HResult is 11 or 35;
}
