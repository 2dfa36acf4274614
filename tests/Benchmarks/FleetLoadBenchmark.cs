using System.Globalization;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Log;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Testing;

namespace TeleHearing.Benchmarks;

/// <summary>Reading of a fleet's log with 5,000 loans: verified whole, and from what this process verified before.</summary>
/// <remarks>The baseline in the same run reads every row of the same table with the bare driver and does nothing with it.</remarks>
internal static class FleetLoadBenchmark
{
    private const int Loans = 5000;
    private const int Rounds = 20;

    public static async Task Run(CancellationToken cancellationToken)
    {
        using var folder = new TempFolder();
        var settings = new HubSettings { DataFolder = folder.Path };
        await using var services = new ServiceCollection().AddLogging().AddSingleton(TimeProvider.System).AddSingleton(settings).AddStorage(settings).BuildServiceProvider();
        StorageRegistration.Prepare(services);
        var contexts = services.GetRequiredService<IDbContextFactory<HubContext>>();
        var seals = services.GetRequiredService<Seals>();
        var facts = await Fill(contexts, seals, cancellationToken);
        var bare = await Times(() => Bare(Path.Combine(folder.Path, StorageRegistration.FileName), cancellationToken));
        var log = services.GetRequiredService<IEventLog>();
        var store = new FleetFactStore(contexts, log, seals);
        var first = await Times(() => new FleetFactStore(contexts, log, seals).Verify(cancellationToken));
        var whole = await Times(() => store.Verify(cancellationToken));
        var load = await Times(() => store.Load(cancellationToken));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{Loans} loans, {facts} facts"));
        Print("every row with the bare driver", bare, bare);
        Print("first reading after a start", first, bare);
        Print("verified whole, states kept", whole, bare);
        Print("reading from what was verified", load, bare);
    }

    private static async Task<Spread> Times(Func<Task> work)
    {
        var times = new List<double>();
        for (var round = -2; round < Rounds; round++)
        {
            var began = TimeProvider.System.GetTimestamp();
            await work();
            if (round >= 0)
            {
                times.Add(TimeProvider.System.GetElapsedTime(began).TotalMilliseconds);
            }
        }

        return new Spread(times);
    }

    private static async Task Bare(string file, CancellationToken cancellationToken)
    {
        await using var connection = new SqliteConnection($"Data Source={file}");
        await connection.OpenAsync(cancellationToken);
        await using var command = connection.CreateCommand();
        command.CommandText = "SELECT * FROM fleet_facts ORDER BY Sequence";
        await using var reader = await command.ExecuteReaderAsync(cancellationToken);
        var values = new object[reader.FieldCount];
        while (await reader.ReadAsync(cancellationToken))
        {
            reader.GetValues(values);
        }
    }

    /// <summary>A loan asked for and placed each, and every fifth one prolonged.</summary>
    private static async Task<int> Fill(IDbContextFactory<HubContext> contexts, Seals seals, CancellationToken cancellationToken)
    {
        var by = new Actor("person-2", "Pella Nyström");
        var (from, facts) = (new DateOnly(2024, 1, 8), new List<FleetFact>());
        for (var index = 0; index < Loans; index++)
        {
            var (day, loan) = (from.AddDays(index / 7), LoanId.New());
            facts.Add(new LoanRequested(new RequestLoan(loan, [SessionId.New()], [day.AddDays(6)], $"Linden Court {index % 90}", FleetCalendar.Clinic, "Etc/UTC", [TransducerKind.Circumaural], LoanUrgency.Ordinary, null), by));
            facts.Add(new LoanPlaced(loan, new KitId($"kit-{index % 200:000}"), day, day.AddDays(12), day.AddDays(15), by));
            if (index % 5 == 0)
            {
                facts.Add(new LoanProlonged(loan, day.AddDays(14), day.AddDays(17), "The person is ill.", by));
            }
        }

        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        await FleetFactWriter.Add(context, new FleetFactAppend(new LoadedFleet(FleetState.Empty, new IntegrityView(true, null), HashChain.Start), facts), seals, TimeProvider.System.GetUtcNow().UtcTicks, cancellationToken);
        await context.SaveChangesAsync(cancellationToken);
        return facts.Count;
    }

    private static void Print(string what, Spread spread, Spread baseline) => Console.WriteLine(string.Create(
        CultureInfo.InvariantCulture,
        $"{what,-36} n {spread.Count,5}   p50 {spread.P50,8:0.00} ms   p99 {spread.P99,8:0.00} ms   ratio of p50 {spread.P50 / baseline.P50,6:0.00}"));
}
