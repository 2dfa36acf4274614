using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Microsoft.Data.Sqlite;
using TeleHearing.Contracts;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>A kit's facts as they lie in the hub's database, checked without the hub's own code.</summary>
internal static class StoredKitLog
{
    /// <summary>Kinds of the facts, in order, of a chain that holds: sequences without a gap, and each hash the SHA-256 of the one before and everything in its own row.</summary>
    public static async Task<IReadOnlyList<string>> KindsOfAWholeChain(string hubData, KitId kitId, CancellationToken cancellationToken)
    {
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(hubData, "hub.db")};Mode=ReadOnly;Pooling=False");
        await connection.OpenAsync(cancellationToken);
        await using var command = connection.CreateCommand();
        command.CommandText = "SELECT Sequence, Kind, Shape, TimeTicks, Payload, PreviousHash, Hash FROM kit_facts WHERE KitId = $kit ORDER BY Sequence";
        command.Parameters.AddWithValue("$kit", kitId.Value);
        await using var row = await command.ExecuteReaderAsync(cancellationToken);
        var (kinds, previous) = (new List<string>(), new byte[32]);
        while (await row.ReadAsync(cancellationToken))
        {
            Assert.Equal(kinds.Count + 1, row.GetInt64(0));
            Assert.Equal(previous, row.GetFieldValue<byte[]>(5));
            var text = string.Create(CultureInfo.InvariantCulture, $"kit {kitId}\n{row.GetInt64(0)}\n{row.GetString(1)}\n{row.GetInt64(2)}\n{row.GetInt64(3)}\n{row.GetString(4)}");
            previous = SHA256.HashData([.. previous, .. Encoding.UTF8.GetBytes(text)]);
            Assert.Equal(previous, row.GetFieldValue<byte[]>(6));
            kinds.Add(row.GetString(1));
        }

        return kinds;
    }
}
