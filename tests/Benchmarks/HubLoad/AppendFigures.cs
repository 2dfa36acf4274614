using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Testing;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>Durable appends through the store, decided on the newest state, sealed, chained and with what lists show, against the bare driver writing the same rows with the same durability; and many writers against one.</summary>
internal static class AppendFigures
{
    private const int Writers = 50;
    private const int PerWriter = 60;
    private const int Single = 1500;
    private const int Turns = 7;
    private const int MostWarmTurns = 20;

    public static async Task Run(CancellationToken cancellationToken)
    {
        using var folders = new TempFolder();
        var settings = new HubSettings { DataFolder = Directory.CreateDirectory(folders.Inside("store")).FullName };
        await using var services = new ServiceCollection().AddLogging().AddSingleton(TimeProvider.System).AddSingleton(settings).AddStorage(settings).BuildServiceProvider();
        StorageRegistration.Prepare(services);
        var store = services.GetRequiredService<SessionStore>();
        using var raw = new RawLog(folders.Inside("raw.db"), Path.Combine(settings.DataFolder, StorageRegistration.FileName));
        var (bare, one, many) = (new List<double>(), new List<double>(), new List<double>());
        var warm = new Warming(MostWarmTurns);
        while (many.Count < Turns)
        {
            var alone = await New(store);
            await Append(store, alone, 1, cancellationToken);
            var row = (await store.ReadRows(alone, cancellationToken))![^1];
            raw.Take(alone);
            var quick = Rate(Single, () => raw.Append(Single, row));
            var slow = await Rate(Single, () => Append(store, alone, Single, cancellationToken));
            var sessions = new List<SessionId>();
            for (var number = 0; number < Writers; number++)
            {
                sessions.Add(await New(store));
            }

            var together = await Rate(Writers * PerWriter, () => Task.WhenAll(sessions.Select(session => Task.Run(() => Append(store, session, PerWriter, cancellationToken), cancellationToken))));
            if (warm.Done)
            {
                bare.Add(quick);
                one.Add(slow);
                many.Add(together);
            }
            else
            {
                await warm.Turned();
            }
        }

        var (rawly, single, group) = (new Spread(bare).P50, new Spread(one).P50, new Spread(many).P50);
        Figures.Line($"appends a second: bare driver {rawly:0}, one writer {single:0}, {Writers} writers {group:0}");
        Figures.Ratio("durable append through the store against raw SQLite, WAL, FULL", single / rawly, "at least", 0.9);
        Figures.Ratio($"{Writers} writers against one", group / single, "at least", 5);
    }

    private static double Rate(int count, Action work)
    {
        var began = TimeProvider.System.GetTimestamp();
        work();
        return count / TimeProvider.System.GetElapsedTime(began).TotalSeconds;
    }

    private static async Task<double> Rate(int count, Func<Task> work)
    {
        var began = TimeProvider.System.GetTimestamp();
        await work();
        return count / TimeProvider.System.GetElapsedTime(began).TotalSeconds;
    }

    private static async Task<SessionId> New(SessionStore store)
    {
        var id = SessionId.New();
        var row = new SessionEntity { SessionId = id.Value, PersonReference = "P-1", PersonName = "Ottilie Brandvold", Referral = "first test", Place = "at home", KitId = "kit-01", ClinicianId = "c", Stage = nameof(SessionStage.Scheduled) };
        await store.Create(row, new SessionScheduled("P-1", "at home", default, new KitId("kit-01"), "c"), CancellationToken.None);
        return id;
    }

    private static async Task Append(SessionStore store, SessionId session, int count, CancellationToken cancellationToken)
    {
        for (var number = 0; number < count; number++)
        {
            var loaded = (await store.Load(session, cancellationToken))!;
            var outcome = await store.Append(new AppendBatch([new SessionAppend(loaded, [new NoteAdded("The person asked for a pause.", new Actor("c", "Maren Toft"))])], null, null, _ => { }), cancellationToken);
            if (outcome != AppendOutcome.Appended)
            {
                throw new InvalidOperationException($"An append came to {outcome}.");
            }
        }
    }
}
