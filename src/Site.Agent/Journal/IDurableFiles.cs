namespace TeleHearing.Site.Agent.Journal;

/// <summary>The few things the journal asks of a disk, so that a failing one can stand in for it.</summary>
internal interface IDurableFiles
{
    /// <summary>Opens a file to read and to write at its end, making it when it is not there.</summary>
    Stream OpenForAppend(string path);

    /// <summary>Returns when everything written to a stream of <see cref="OpenForAppend"/> is on the disk.</summary>
    void Flush(Stream stream);

    /// <summary>The whole file, or nothing when it is not there.</summary>
    byte[]? ReadWhole(string path);

    /// <summary>Puts a new file in the place of an old one: after a crash either the old or the new one is whole.</summary>
    void Replace(string path, ReadOnlySpan<byte> content);

    /// <summary>Gives a file another name; nothing happens when it is not there.</summary>
    void Rename(string path, string newPath);

    /// <summary>Overwrites a file with zeros, then deletes it; nothing happens when it is not there. What a disk keeps of it elsewhere is sealed with a key that is gone.</summary>
    void Wipe(string path);

    /// <summary>Paths of the files of a folder that fit a pattern.</summary>
    IReadOnlyList<string> Find(string folder, string pattern);
}

/// <summary>The kit's disk.</summary>
internal sealed class DurableFiles : IDurableFiles
{
    public Stream OpenForAppend(string path)
    {
        var fresh = !File.Exists(path);
        var stream = new FileStream(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.Read, bufferSize: 0);
        try
        {
            OwnerOnly(path);
            if (fresh)
            {
                FolderSync.Of(FolderOf(path));
            }
        }
        catch
        {
            stream.Dispose();
            throw;
        }

        return stream;
    }

    public void Flush(Stream stream) => ((FileStream)stream).Flush(flushToDisk: true);

    public byte[]? ReadWhole(string path) => File.Exists(path) ? File.ReadAllBytes(path) : null;

    public void Replace(string path, ReadOnlySpan<byte> content)
    {
        var beside = path + ".new";
        using (var stream = new FileStream(beside, FileMode.Create, FileAccess.Write, FileShare.None, bufferSize: 0))
        {
            OwnerOnly(beside);
            stream.Write(content);
            stream.Flush(flushToDisk: true);
        }

        File.Move(beside, path, overwrite: true);
        FolderSync.Of(FolderOf(path));
    }

    public void Rename(string path, string newPath)
    {
        if (File.Exists(path))
        {
            File.Move(path, newPath, overwrite: true);
        }
    }

    public void Wipe(string path)
    {
        if (!File.Exists(path))
        {
            return;
        }

        using (var stream = new FileStream(path, FileMode.Open, FileAccess.Write, FileShare.None, bufferSize: 0))
        {
            var zeros = new byte[64 * 1024];
            for (var left = stream.Length; left > 0; left -= zeros.Length)
            {
                stream.Write(zeros, 0, (int)Math.Min(left, zeros.Length));
            }

            stream.Flush(flushToDisk: true);
        }

        File.Delete(path);
    }

    public IReadOnlyList<string> Find(string folder, string pattern) => Directory.GetFiles(folder, pattern);

    private static string FolderOf(string path) => Path.GetDirectoryName(Path.GetFullPath(path))!;

    private static void OwnerOnly(string path)
    {
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(path, UnixFileMode.UserRead | UnixFileMode.UserWrite);
        }
    }
}

/// <summary>The kit cannot keep a fact: its disk is full, read-only or broken.</summary>
internal sealed class StorageFaultException(string message, Exception inner) : Exception(message, inner)
{
    /// <summary>What the clinician reads.</summary>
    public const string Sentence = "The kit cannot store results: its disk is full or cannot be written. Nothing was lost that was shown before. Free some space on the kit, then try again.";

    /// <summary>Runs something that touches the disk and turns its failures into this exception.</summary>
    public static T Guard<T>(Func<T> action)
    {
        try
        {
            return action();
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new StorageFaultException(Sentence, fault);
        }
    }

    /// <inheritdoc cref="Guard{T}(Func{T})"/>
    public static void Guard(Action action) => Guard(() =>
    {
        action();
        return true;
    });
}
