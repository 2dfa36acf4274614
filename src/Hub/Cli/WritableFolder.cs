namespace TeleHearing.Hub.Cli;

/// <summary>Folders a verb writes to, tried before anything is started.</summary>
internal static class WritableFolder
{
    /// <summary>Makes the folder if needed and proves that a file can be written in it.</summary>
    /// <exception cref="CliFault">It cannot be made or written.</exception>
    public static void Prepare(DirectoryInfo folder, string option)
    {
        try
        {
            folder.Create();
            var probe = Path.Combine(folder.FullName, $".write-test-{Environment.ProcessId}");
            File.WriteAllBytes(probe, [0]);
            File.Delete(probe);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or NotSupportedException)
        {
            throw new CliFault($"The folder {folder} cannot be written: {fault.Message} Nothing was started. Name another one with {option} DIR, or make room and give yourself the right to write there.");
        }
    }
}
