using TeleHearing.Site.Agent.Audio.Verification;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>Places a command line names with <c>--out</c>. They are tried before anything else is done, so that no work is lost for want of a place to put it.</summary>
internal static class OutPlaces
{
    /// <summary>Opens a file to be written.</summary>
    /// <exception cref="CommandMistakeException">It cannot be.</exception>
    public static FileStream Create(string path)
    {
        if (Directory.Exists(path))
        {
            throw new CommandMistakeException($"--out must be a file, and {path} is a folder. Name a file in it, e.g. {Path.Combine(path, "sound.wav")}.");
        }

        if (Path.GetDirectoryName(Path.GetFullPath(path)) is { } folder && !Directory.Exists(folder))
        {
            throw new CommandMistakeException($"--out must be a file in a folder that is there, and there is no folder {folder}. Make it, or name another.");
        }

        return Try(path, () => new FileStream(path, FileMode.Create, FileAccess.Write));
    }

    /// <summary>Makes sure that both files of a report can be written into a folder; makes the folder when it is not there, and leaves reports in it as they are.</summary>
    /// <exception cref="CommandMistakeException">They cannot be.</exception>
    public static void NeedReportFolder(string folder) => Try(folder, () =>
    {
        if (File.Exists(folder))
        {
            throw new CommandMistakeException($"--out must be a folder, and {folder} is a file. Name another. Nothing was played.");
        }

        Directory.CreateDirectory(folder);
        foreach (var path in new[] { VerifyReport.JsonFile, VerifyReport.HtmlFile }.Select(name => Path.Combine(folder, name)))
        {
            var isNew = !File.Exists(path);
            new FileStream(path, FileMode.OpenOrCreate, FileAccess.Write).Dispose();
            if (isNew)
            {
                File.Delete(path);
            }
        }

        return true;
    });

    private static T Try<T>(string path, Func<T> work)
    {
        try
        {
            return work();
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or ArgumentException)
        {
            throw new CommandMistakeException($"--out {path} cannot be written ({fault.Message.TrimEnd('.')}). Name another place. Nothing was done.");
        }
    }
}
