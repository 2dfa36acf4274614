using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Verification;
using TeleHearing.Testing;

namespace TeleHearing.Benchmarks;

/// <summary>Verification of a store against a bare chain of SHA-256 over the same bytes, already in memory.</summary>
internal static class VerifyBenchmark
{
    private const int Entries = 200_000;
    private const int Rounds = 7;

    public static async Task Run(CancellationToken cancellationToken)
    {
        using var folder = new TempFolder();
        var settings = new HubSettings { DataFolder = folder.Path };
        await using var services = new ServiceCollection().AddLogging().AddSingleton(TimeProvider.System).AddSingleton(settings).AddStorage(settings).BuildServiceProvider();
        StorageRegistration.Prepare(services);
        var bytes = new List<byte[]>();
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(folder.Path, StorageRegistration.FileName)}");
        await connection.OpenAsync(cancellationToken);
        await Fill(connection, bytes, cancellationToken);

        var (bare, verified) = (new List<double>(), new List<double>());
        for (var round = -1; round < Rounds; round++)
        {
            var began = TimeProvider.System.GetTimestamp();
            Bare(bytes);
            var between = TimeProvider.System.GetTimestamp();
            var verdict = await StoreVerifier.Verify(connection, [], null, cancellationToken);
            var ended = TimeProvider.System.GetTimestamp();
            if (verdict.Faults.Count > 0 || verdict.Entries != Entries)
            {
                throw new InvalidOperationException($"The store does not verify: {string.Join("; ", verdict.Faults)}");
            }

            if (round >= 0)
            {
                bare.Add(TimeProvider.System.GetElapsedTime(began, between).TotalMilliseconds);
                verified.Add(TimeProvider.System.GetElapsedTime(between, ended).TotalMilliseconds);
            }
        }

        var (chain, store) = (new Spread(bare).P50, new Spread(verified).P50);
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{Entries} entries, {bytes.Sum(one => (long)one.Length) / Entries} bytes each on average, median of {Rounds}"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"bare chain of SHA-256   {chain,8:0} ms"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"verification of store   {store,8:0} ms   {chain / store:0.00} times as fast"));
    }

    private static void Bare(List<byte[]> bytes)
    {
        var head = HashChain.Start;
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        foreach (var one in bytes)
        {
            hash.AppendData(head);
            hash.AppendData(one);
            head = hash.GetHashAndReset();
        }
    }

    private static async Task Fill(SqliteConnection connection, List<byte[]> bytes, CancellationToken cancellationToken)
    {
        await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
        await using var command = connection.CreateCommand();
        command.CommandText = "INSERT INTO audit_entries (Sequence, Kind, Shape, Payload, TimeTicks, PreviousHash, Hash) VALUES ($s, $k, 1, $p, $t, $b, $h)";
        var parameters = new[] { "$s", "$k", "$p", "$t", "$b", "$h" }.ToDictionary(name => name, name => command.Parameters.Add(new SqliteParameter(name, null)), StringComparer.Ordinal);
        var head = HashChain.Start;
        for (var sequence = 1L; sequence <= Entries; sequence++)
        {
            var (kind, ticks) = ("request WatchSessionQuery", 638_000_000_000_000_000 + sequence);
            var payload = string.Create(CultureInfo.InvariantCulture, $$"""{"personId":"0196f3a0-0000-7000-8000-{{sequence:000000000000}}","kitId":null,"about":["session 0196f3a0-1111-7000-8000-{{sequence:000000000000}}"],"refused":null,"times":1}""");
            var next = HashChain.Next(head, AuditEntryRow.Chain, sequence, kind, 1, ticks, payload);
            bytes.Add(Encoding.UTF8.GetBytes(string.Create(CultureInfo.InvariantCulture, $"{AuditEntryRow.Chain}\n{sequence}\n{kind}\n1\n{ticks}\n{payload}")));
            (parameters["$s"].Value, parameters["$k"].Value, parameters["$p"].Value, parameters["$t"].Value, parameters["$b"].Value, parameters["$h"].Value) = (sequence, kind, payload, ticks, head, next);
            await command.ExecuteNonQueryAsync(cancellationToken);
            head = next;
        }

        await using var count = connection.CreateCommand();
        count.CommandText = $"INSERT INTO audit_head (Id, Entries) VALUES (1, {Entries})";
        await count.ExecuteNonQueryAsync(cancellationToken);
        await transaction.CommitAsync(cancellationToken);
    }
}
