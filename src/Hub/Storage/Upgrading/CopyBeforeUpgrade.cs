using System.Globalization;
using Microsoft.EntityFrameworkCore;

namespace TeleHearing.Hub.Storage.Upgrading;

/// <summary>A copy of the database before its tables are brought up, so that the older hub can be gone back to.</summary>
internal static partial class CopyBeforeUpgrade
{
    /// <summary>Folder of the copies, inside the data folder.</summary>
    public const string Folder = "before-upgrade";

    /// <summary>Makes it, whole and synced, by SQLite itself.</summary>
    /// <returns>Its path.</returns>
    /// <exception cref="InvalidOperationException">It could not be made; nothing was changed.</exception>
    public static string Make(HubContext context, string dataFolder, int version, TimeProvider time)
    {
        var folder = Path.Combine(dataFolder, Folder);
        var path = Path.Combine(folder, string.Create(CultureInfo.InvariantCulture, $"hub-version-{version}-{time.GetUtcNow().UtcDateTime:yyyyMMdd'T'HHmmss'Z'}.db"));
        try
        {
            PrivateFolder.Make(folder);
            if (!File.Exists(path))
            {
                context.Database.ExecuteSql($"VACUUM INTO {path}");
                CopiedDatabase.Ready(path);
            }
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or Microsoft.Data.Sqlite.SqliteException)
        {
            throw new InvalidOperationException($"The tables must be brought up to a newer version, and a copy of the database could not be made first in {folder}: {fault.Message} Nothing was changed. Make room and give the hub the right to write there, then start it again.", fault);
        }

        return path;
    }

    [LoggerMessage(EventId = 1601, Level = LogLevel.Information, Message = "Tables of version {Older} are brought up to version {Newer}; a copy from before is in {Copy}")]
    public static partial void Tell(ILogger log, int older, int newer, string copy);

    [LoggerMessage(EventId = 1602, Level = LogLevel.Warning, Message = "From now on texts about people are sealed. The copy from before, in {Copy}, holds them open: delete it once the hub is seen to work")]
    public static partial void TellThatItLiesOpen(ILogger log, string copy);
}
