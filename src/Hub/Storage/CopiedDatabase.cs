using Microsoft.Data.Sqlite;

namespace TeleHearing.Hub.Storage;

/// <summary>A copy that SQLite made of the database.</summary>
internal static class CopiedDatabase
{
    /// <summary>Gives a copy what a database of a hub has: rights for the hub's account alone, and the write-ahead log, which a copy is made without and a hub expects.</summary>
    public static void Ready(string path)
    {
        PrivateFolder.Close(path);
        using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = path, Mode = SqliteOpenMode.ReadWrite, Pooling = false }.ToString());
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = "PRAGMA journal_mode=WAL";
        command.ExecuteScalar();
    }
}
