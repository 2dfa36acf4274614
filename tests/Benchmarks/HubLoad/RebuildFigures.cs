using System.Globalization;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Verification;
using TeleHearing.Testing;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>What lists show of every session worked out anew from 200,000 sealed events, against reading the same rows with the bare driver and doing nothing with them.</summary>
internal static class RebuildFigures
{
    private const int Sessions = 1000;
    private const int EventsEach = 200;
    private const int Rounds = 5;

    public static async Task Run(CancellationToken cancellationToken)
    {
        using var folder = new TempFolder();
        var settings = new HubSettings { DataFolder = folder.Path };
        await using var services = new ServiceCollection().AddLogging().AddSingleton(TimeProvider.System).AddSingleton(settings).AddStorage(settings).BuildServiceProvider();
        StorageRegistration.Prepare(services);
        await Fill(services.GetRequiredService<SessionStore>(), cancellationToken);
        await using var connection = new SqliteConnection($"Data Source={folder.Inside(StorageRegistration.FileName)}");
        await connection.OpenAsync(cancellationToken);
        var seals = services.GetRequiredService<Seals>();
        var (bare, rebuilt) = (new List<double>(), new List<double>());
        for (var round = -2; round < Rounds; round++)
        {
            var began = TimeProvider.System.GetTimestamp();
            var rows = Read(connection);
            var between = TimeProvider.System.GetTimestamp();
            var standings = SessionProjections.Standings(connection, seals, cancellationToken);
            var ended = TimeProvider.System.GetTimestamp();
            if (rows != Sessions * EventsEach || standings.Count != Sessions || standings.Values.Any(standing => standing.Controller is null))
            {
                throw new InvalidOperationException("Something was not read or not opened.");
            }

            if (round >= 0)
            {
                bare.Add(TimeProvider.System.GetElapsedTime(began, between).TotalMilliseconds);
                rebuilt.Add(TimeProvider.System.GetElapsedTime(between, ended).TotalMilliseconds);
            }
        }

        var (raw, whole) = (new Spread(bare), new Spread(rebuilt));
        Figures.Print($"bare reading of {Sessions * EventsEach} rows", raw);
        Figures.Print("rebuild from the same rows", whole);
        Figures.Ratio("rebuild of 200,000 events against raw row reading", raw.P50 / whole.P50, "at least", 0.3);
    }

    private static int Read(SqliteConnection connection)
    {
        using var command = connection.CreateCommand();
        command.CommandText = "SELECT * FROM session_events ORDER BY SessionId, Sequence";
        using var reader = command.ExecuteReader();
        var (values, rows) = (new object[reader.FieldCount], 0);
        while (reader.Read())
        {
            reader.GetValues(values);
            rows++;
        }

        return rows;
    }

    /// <summary>Somebody takes control, then notes.</summary>
    private static async Task Fill(SessionStore store, CancellationToken cancellationToken)
    {
        var by = new Actor("c", "Maren Toft");
        for (var number = 0; number < Sessions; number++)
        {
            var id = SessionId.New();
            var row = new SessionEntity { SessionId = id.Value, PersonReference = "P-1", PersonName = "Ottilie Brandvold", Referral = "first test", Place = "at home", KitId = "kit-01", ClinicianId = "c", Stage = nameof(SessionStage.Scheduled) };
            await store.Create(row, new SessionScheduled("P-1", "at home", default, new KitId("kit-01"), "c"), cancellationToken);
            var loaded = (await store.Load(id, cancellationToken))!;
            IReadOnlyList<SessionEvent> events = [new ControlTaken(1, by), .. Enumerable.Range(0, EventsEach - 2).Select(note => new NoteAdded(string.Create(CultureInfo.InvariantCulture, $"Note {note}: the person asked for a pause."), by))];
            await store.Append(new AppendBatch([new SessionAppend(loaded, events)], null, null, _ => { }), cancellationToken);
        }
    }
}
