using System.Globalization;

namespace TeleHearing.Hub.Data;

/// <summary>The small list of erased sessions beside the database: a backup made before brings them back, and the list takes them out again. Ids alone, a line each.</summary>
internal static class ErasureList
{
    /// <summary>Name of the file in the data folder.</summary>
    public const string FileName = "erasures.txt";

    /// <summary>Adds sessions.</summary>
    public static async Task Add(string dataFolder, Guid erasureId, IEnumerable<Guid> sessions, CancellationToken cancellationToken) =>
        await File.AppendAllLinesAsync(Path.Combine(dataFolder, FileName), sessions.Select(session => Line((session, erasureId))), cancellationToken);

    /// <summary>A line of the list.</summary>
    public static string Line((Guid Session, Guid Erasure) erased) => string.Create(CultureInfo.InvariantCulture, $"{erased.Session:N} {erased.Erasure:N}");

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
                throw new FormatException($"A line of {file} is not one of the list of erasures: \"{line}\".");
            }

            found.Add((sessionId, erasureId));
        }

        return found;
    }
}
