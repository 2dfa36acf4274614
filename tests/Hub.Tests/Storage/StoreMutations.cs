using System.Globalization;
using Microsoft.Data.Sqlite;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>Changes a store in one way, chosen at random.</summary>
internal sealed class StoreMutations(SqliteConnection store, Random random)
{
    private static readonly (string Table, string Key, string? Owner)[] _chains =
    [
        ("session_events", "Position", "SessionId"),
        ("kit_facts", "Position", "KitId"),
        ("fleet_facts", "Sequence", null),
        ("audit_entries", "Sequence", null),
    ];

    private static readonly string[] _counts = ["UPDATE sessions SET Version = Version {0}", "UPDATE kits SET FactVersion = FactVersion {0}", "UPDATE fleet_head SET FactVersion = FactVersion {0}", "UPDATE audit_head SET Entries = Entries {0}"];

    /// <summary>Every kind, in order.</summary>
    public static IReadOnlyList<string> Kinds { get; } = [.. new[] { "byte", "removed", "swapped", "end cut", "end cut with its count", "count", "projection", "owner", "owner's type" }.Order()];

    public Dictionary<string, int> Made { get; } = [];

    /// <summary>Changes something.</summary>
    /// <returns>What, and whether only heads kept elsewhere can show it.</returns>
    public async Task<(string What, bool NeedsHeads)> Make()
    {
        var kind = Kinds[random.Next(Kinds.Count)];
        Made[kind] = Made.GetValueOrDefault(kind) + 1;
        var chain = random.Next(_chains.Length);
        var what = kind switch
        {
            "byte" => await Byte(_chains[chain]),
            "removed" => await Removed(_chains[chain]),
            "swapped" => await Swapped(_chains[chain]),
            "end cut" => await EndCut(_chains[chain]),
            "end cut with its count" => await EndCut(_chains[chain]) + await Lowered(chain),
            "count" => await Run(string.Format(CultureInfo.InvariantCulture, _counts[chain], random.Next(2) == 0 ? "+ 1" : "- 1")),
            "projection" => await Run($"UPDATE sessions SET Stage = '{(random.Next(2) == 0 ? "Closed" : "Testing")}'"),
            "owner's type" => await OwnersType(_chains[random.Next(2)]),
            _ => await Run(random.Next(2) == 0 ? "DELETE FROM sessions" : "DELETE FROM kits"),
        };
        return ($"{kind}: {what}", kind == "end cut with its count");
    }

    private async Task<string> Byte((string Table, string Key, string? Owner) chain)
    {
        var row = await Pick(chain);
        var column = new[] { "Sequence", "Kind", "Shape", "Payload", "TimeTicks", "PreviousHash", "Hash" }[random.Next(7)];
        object value = await Scalar($"SELECT {column} FROM {chain.Table} WHERE {chain.Key} = {row}");
        switch (value)
        {
            case long number:
                // A sequence that another row has would be refused by the table itself.
                value = column == "Sequence" ? number + 1_000 + random.Next(1_000) : number ^ (1L << random.Next(40));
                break;
            case string text:
                var place = random.Next(text.Length);
                value = text[..place] + (char)(text[place] ^ 1) + text[(place + 1)..];
                break;
            case byte[] bytes:
                bytes[random.Next(bytes.Length)] ^= (byte)(1 << random.Next(8));
                break;
        }

        await using var command = store.CreateCommand();
        command.CommandText = $"UPDATE {chain.Table} SET {column} = $value WHERE {chain.Key} = {row}";
        command.Parameters.AddWithValue("$value", value);
        await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
        return $"{chain.Table} {row} {column}";
    }

    /// <summary>The same bytes as no text: the programs do not find the entry any more.</summary>
    private async Task<string> OwnersType((string Table, string Key, string? Owner) chain) => await Run($"UPDATE {chain.Table} SET {chain.Owner} = CAST({chain.Owner} AS BLOB) WHERE {chain.Key} = {await Pick(chain)}");

    private async Task<string> Removed((string Table, string Key, string? Owner) chain) => await Run($"DELETE FROM {chain.Table} WHERE {chain.Key} = {await Pick(chain)}");

    /// <summary>Two neighbours of a chain change places, or two rows their contents where the chain has one entry only.</summary>
    private async Task<string> Swapped((string Table, string Key, string? Owner) chain)
    {
        var (first, second) = (await Pick(chain), await Pick(chain));
        if (first == second)
        {
            return await Run($"UPDATE {chain.Table} SET Payload = Payload || ' ' WHERE {chain.Key} = {first}");
        }

        return await Run($"""
            CREATE TEMP TABLE held AS SELECT {chain.Key} AS K, Kind, Shape, Payload, TimeTicks, PreviousHash, Hash FROM {chain.Table} WHERE {chain.Key} IN ({first}, {second});
            UPDATE {chain.Table} SET (Kind, Shape, Payload, TimeTicks, PreviousHash, Hash) = (SELECT Kind, Shape, Payload, TimeTicks, PreviousHash, Hash FROM held WHERE K <> {chain.Table}.{chain.Key}) WHERE {chain.Key} IN ({first}, {second});
            DROP TABLE held;
            """);
    }

    private async Task<string> EndCut((string Table, string Key, string? Owner) chain) => chain.Owner is { } owner
        ? await Run($"DELETE FROM {chain.Table} WHERE {chain.Key} IN (SELECT {chain.Key} FROM {chain.Table} AS one WHERE Sequence = (SELECT MAX(Sequence) FROM {chain.Table} AS other WHERE other.{owner} = one.{owner}))")
        : await Run($"DELETE FROM {chain.Table} WHERE Sequence = (SELECT MAX(Sequence) FROM {chain.Table})");

    private Task<string> Lowered(int chain) => Run(string.Format(CultureInfo.InvariantCulture, _counts[chain], "- 1"));

    private async Task<long> Pick((string Table, string Key, string? Owner) chain)
    {
        var rows = (long)await Scalar($"SELECT COUNT(*) FROM {chain.Table}");
        return (long)await Scalar($"SELECT {chain.Key} FROM {chain.Table} ORDER BY {chain.Key} LIMIT 1 OFFSET {random.NextInt64(rows)}");
    }

    private async Task<object> Scalar(string sql)
    {
        await using var command = store.CreateCommand();
        command.CommandText = sql;
        return (await command.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
    }

    private async Task<string> Run(string sql)
    {
        await using var command = store.CreateCommand();
        command.CommandText = sql;
        await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
        return sql;
    }
}
