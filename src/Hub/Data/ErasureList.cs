using System.Globalization;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Data;

/// <summary>The small list of erased sessions beside the database: a backup made before brings them back, and an erasure may have been cut off; the list takes them out again. Ids alone, a line each.</summary>
internal static class ErasureList
{
    /// <summary>Name of the file in the data folder.</summary>
    public const string FileName = "erasures.txt";

    /// <summary>Adds sessions; those it has already under the same erasure stay as they are.</summary>
    /// <exception cref="FormatException">A line is not one of the list.</exception>
    public static async Task Add(string dataFolder, IEnumerable<(Guid Session, Guid Erasure)> erased, CancellationToken cancellationToken)
    {
        var there = await Read(Path.Combine(dataFolder, FileName), cancellationToken);
        if (erased.Except(there).ToList() is { Count: > 0 } missing)
        {
            Write(dataFolder, [.. there, .. missing]);
        }
    }

    /// <summary>Takes lines off again: of sessions that turned out to be under way.</summary>
    /// <exception cref="FormatException">A line is not one of the list.</exception>
    public static async Task Strike(string dataFolder, IReadOnlyCollection<(Guid Session, Guid Erasure)> kept, CancellationToken cancellationToken) =>
        Write(dataFolder, [.. (await Read(Path.Combine(dataFolder, FileName), cancellationToken)).Except(kept)]);

    /// <summary>Reads a list; one that is not there is empty.</summary>
    /// <exception cref="FormatException">A line is not one of the list.</exception>
    public static async Task<IReadOnlyList<(Guid Session, Guid Erasure)>> Read(string file, CancellationToken cancellationToken)
    {
        if (!File.Exists(file))
        {
            return [];
        }

        var found = new List<(Guid, Guid)>();
        foreach (var line in (await File.ReadAllLinesAsync(file, cancellationToken)).Where(line => !string.IsNullOrWhiteSpace(line)))
        {
            if (line.Trim().Split(' ') is not [var session, var erasure] || !Guid.TryParseExact(session, "N", out var sessionId) || !Guid.TryParseExact(erasure, "N", out var erasureId))
            {
                throw new FormatException($"A line of {file} is not one of the list of erasures: \"{line}\". Nothing was changed. Put the file back from a copy, or take that line out.");
            }

            found.Add((sessionId, erasureId));
        }

        return found;
    }

    /// <summary>Writes the whole list, synced, under another name first: a power cut leaves the one before or this one.</summary>
    private static void Write(string dataFolder, IReadOnlyList<(Guid Session, Guid Erasure)> list)
    {
        var (file, part) = (Path.Combine(dataFolder, FileName), Path.Combine(dataFolder, $"{FileName}.{Guid.CreateVersion7():N}.part"));
        try
        {
            using (var stream = new FileStream(part, FileMode.CreateNew, FileAccess.Write, FileShare.None))
            using (var writer = new StreamWriter(stream))
            {
                PrivateFolder.Close(part);
                foreach (var (session, erasure) in list)
                {
                    writer.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{session:N} {erasure:N}"));
                }

                writer.Flush();
                stream.Flush(flushToDisk: true);
            }

            File.Move(part, file, overwrite: true);
        }
        finally
        {
            File.Delete(part);
        }
    }
}
