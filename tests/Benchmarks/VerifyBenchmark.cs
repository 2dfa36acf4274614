using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Microsoft.AspNetCore.Builder;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Verification;
using TeleHearing.Testing;

namespace TeleHearing.Benchmarks;

/// <summary>Verification of a store that a hub wrote, sessions and seals and all, against a bare chain of SHA-256 over the same bytes, already in memory, by the same call of the library.</summary>
internal static class VerifyBenchmark
{
    private const int Sessions = 100;
    private const int EventsEach = 600;
    private const int Rounds = 7;

    public static async Task Run(CancellationToken cancellationToken)
    {
        using var folder = new TempFolder();
        await using var hub = HubHost.Build(new HubSettings { DataFolder = folder.Path, Urls = "http://127.0.0.1:0", ServeConsole = false, LogToConsole = false });
        await Fill(hub, cancellationToken);
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(folder.Path, StorageRegistration.FileName)}");
        await connection.OpenAsync(cancellationToken);
        var seals = hub.Services.GetRequiredService<Seals>();
        var chains = await Chains(connection, cancellationToken);
        var (bare, walked, opened) = (new List<double>(), new List<double>(), new List<double>());
        for (var round = -1; round < Rounds; round++)
        {
            var began = TimeProvider.System.GetTimestamp();
            Bare(chains);
            var first = TimeProvider.System.GetTimestamp();
            var entries = Check(await StoreVerifier.Verify(connection, [], null, cancellationToken));
            var second = TimeProvider.System.GetTimestamp();
            Check(await StoreVerifier.Verify(connection, [], seals, cancellationToken));
            var third = TimeProvider.System.GetTimestamp();
            if (entries < chains.Sum(chain => chain.Count))
            {
                throw new InvalidOperationException("The bare chains hold more entries than were verified.");
            }

            if (round >= 0)
            {
                bare.Add(TimeProvider.System.GetElapsedTime(began, first).TotalMilliseconds);
                walked.Add(TimeProvider.System.GetElapsedTime(first, second).TotalMilliseconds);
                opened.Add(TimeProvider.System.GetElapsedTime(second, third).TotalMilliseconds);
            }
        }

        var (chain, store, whole) = (new Spread(bare).P50, new Spread(walked).P50, new Spread(opened).P50);
        var count = chains.Sum(one => one.Count);
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{count} entries of {Sessions} sessions, {chains.Sum(one => one.Sum(bytes => (long)bytes.Length)) / count} bytes each on average, median of {Rounds} by turns"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"bare chains of SHA-256             {chain,8:0} ms"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"verification, chains alone         {store,8:0} ms   {chain / store:0.00} times as fast as bare"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"verification, opening every seal   {whole,8:0} ms   {chain / whole:0.00} times as fast as bare"));
    }

    private static long Check(StoreVerdict verdict) => verdict.Faults.Count == 0
        ? verdict.Entries
        : throw new InvalidOperationException($"The store does not verify: {string.Join("; ", verdict.Faults)}");

    private static void Bare(IReadOnlyList<IReadOnlyList<byte[]>> chains)
    {
        var buffer = new byte[64 * 1024];
        foreach (var chain in chains)
        {
            buffer.AsSpan(0, SHA256.HashSizeInBytes).Clear();
            foreach (var bytes in chain)
            {
                bytes.CopyTo(buffer.AsSpan(SHA256.HashSizeInBytes));
                SHA256.HashData(buffer.AsSpan(0, SHA256.HashSizeInBytes + bytes.Length), buffer.AsSpan(0, SHA256.HashSizeInBytes));
            }
        }
    }

    /// <summary>What the chains of sessions hash in each row, beside the hash before.</summary>
    private static async Task<IReadOnlyList<IReadOnlyList<byte[]>>> Chains(SqliteConnection connection, CancellationToken cancellationToken)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = "SELECT SessionId, Sequence, Kind, Shape, TimeTicks, Payload FROM session_events ORDER BY SessionId, Sequence";
        await using var reader = await command.ExecuteReaderAsync(cancellationToken);
        var chains = new Dictionary<string, List<byte[]>>(StringComparer.Ordinal);
        while (await reader.ReadAsync(cancellationToken))
        {
            var chain = SessionEventRow.ChainOf(Guid.Parse(reader.GetString(0)));
            if (!chains.TryGetValue(chain, out var rows))
            {
                chains.Add(chain, rows = []);
            }

            rows.Add(Encoding.UTF8.GetBytes(string.Create(CultureInfo.InvariantCulture, $"{chain}\n{reader.GetInt64(1)}\n{reader.GetString(2)}\n{reader.GetInt64(3)}\n{reader.GetInt64(4)}\n{reader.GetString(5)}")));
        }

        return [.. chains.Values];
    }

    private static async Task Fill(WebApplication hub, CancellationToken cancellationToken)
    {
        var person = await hub.Services.GetRequiredService<PeopleAdmin>().Enter("Maren Toft", [Roles.Clinician], cancellationToken);
        await hub.Services.GetRequiredService<KitFleet>().Enter(new KitId("kit-01"), "loan kit", "shelf", cancellationToken);
        var (schedule, store) = (hub.Services.GetRequiredService<SessionSchedule>(), hub.Services.GetRequiredService<SessionStore>());
        for (var session = 0; session < Sessions; session++)
        {
            var plan = new SessionPlan(new PersonTested(string.Create(CultureInfo.InvariantCulture, $"P-{session}"), "Oda Brekkestad", new DateOnly(1951, 3, 14), "first test"), "at home", TimeProvider.System.GetUtcNow(), new KitId("kit-01"), person);
            var loaded = (await store.Load(await schedule.Plan(plan, cancellationToken), cancellationToken))!;
            var events = Enumerable.Range(0, EventsEach).Select(SessionEvent (number) => number % 10 == 0
                ? new NoteAdded(string.Create(CultureInfo.InvariantCulture, $"Note {number}: hears better with the window shut."), new Actor(person, "Maren Toft"))
                : new StepBegan(StepId.New(), number * 10.0));
            if (await store.Append(new AppendBatch([new SessionAppend(loaded, [.. events])], null, null, _ => { }), cancellationToken) != AppendOutcome.Appended)
            {
                throw new InvalidOperationException("The store did not take a session.");
            }
        }
    }
}
