using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>The event log on a real file.</summary>
public sealed class SessionStoreTests : IDisposable
{
    private readonly TempFolder _folder = new();
    private readonly ServiceProvider _first;
    private readonly ServiceProvider _second;

    public SessionStoreTests()
    {
        _first = Open();
        StorageRegistration.Prepare(_first);
        _second = Open();
        StorageRegistration.Prepare(_second);
    }

    [Fact]
    public async Task ManyWritersLeaveNoGapNoDoubleAndAWholeChain()
    {
        var token = TestContext.Current.CancellationToken;
        var sessions = new[] { await Create(), await Create() };

        // Two stores stand for two processes: only the database is between them.
        await Task.WhenAll(Enumerable.Range(0, 8).Select(writer => Task.Run(
            async () =>
            {
                var store = (writer % 2 == 0 ? _first : _second).GetRequiredService<SessionStore>();
                for (var number = 0; number < 15; number++)
                {
                    await AppendOne(store, sessions[(writer + number) % 2], $"{writer}/{number}", token);
                }
            },
            token)));

        var texts = new List<string>();
        var positions = new List<long>();
        foreach (var session in sessions)
        {
            var rows = (await Store.ReadRows(session, token))!;
            Assert.Equal(Enumerable.Range(1, rows.Count).Select(number => (long)number), rows.Select(row => row.Sequence));
            Assert.True(HashChain.Verify(rows, rows.Count).Valid);
            Assert.Equal(rows.Select(row => row.Position).Order(), rows.Select(row => row.Position));
            positions.AddRange(rows.Select(row => row.Position));
            texts.AddRange(rows.Select(row => EventCatalog.Read(row.Kind, row.Shape, Store.Text(row))).OfType<NoteAdded>().Select(note => note.Text));
        }

        Assert.Equal(8 * 15, texts.Distinct().Count());
        Assert.Equal(8 * 15, texts.Count);
        Assert.Equal(positions.Count, positions.Distinct().Count());
    }

    [Fact]
    public async Task AStaleAppendLosesAndChangesNothing()
    {
        var token = TestContext.Current.CancellationToken;
        var session = await Create();
        var loaded = (await Store.Load(session, token))!;
        await AppendOne(Store, session, "first", token);

        var outcome = await Store.Append(Batch(loaded, "second"), token);

        Assert.Equal(AppendOutcome.LostRace, outcome);
        Assert.Equal(2, (await Store.ReadRows(session, token))!.Count);
    }

    [Fact]
    public async Task EventsReceiptAndCursorBecomeDurableTogetherOrNotAtAll()
    {
        var token = TestContext.Current.CancellationToken;
        var session = await Create();
        var receipt = new ReceiptToKeep(new Receipt(CommandId.New(), null, 2, null), session, [1]);
        var cursor = new CursorToKeep(new KitId("kit-01"), JournalId.New(), 7);
        var loaded = (await Store.Load(session, token))!;
        Assert.Equal(AppendOutcome.Appended, await Store.Append(Batch(loaded, "once") with { Receipt = receipt, Cursor = cursor }, token));
        Assert.Equal(7, await Store.FindCursor(cursor.JournalId, token));

        loaded = (await Store.Load(session, token))!;
        var again = await Store.Append(Batch(loaded, "twice") with { Receipt = receipt, Cursor = cursor with { AcknowledgedSequence = 9 } }, token);

        Assert.Equal(AppendOutcome.CarriedOutBefore, again);
        Assert.Equal(7, await Store.FindCursor(cursor.JournalId, token));
        Assert.Equal(2, (await Store.ReadRows(session, token))!.Count);
    }

    [Theory]
    [InlineData("UPDATE session_events SET Payload = substr(Payload, 1, 20) || char(unicode(substr(Payload, 21, 1)) + 1) || substr(Payload, 22) WHERE Sequence = 3", 3)]
    [InlineData("UPDATE session_events SET Kind = 'message.shown' WHERE Sequence = 2", 2)]
    [InlineData("UPDATE session_events SET TimeTicks = TimeTicks + 1 WHERE Sequence = 4", 4)]
    [InlineData("DELETE FROM session_events WHERE Sequence = 3", 3)]
    [InlineData("DELETE FROM session_events WHERE Sequence = 1", 1)]
    [InlineData("DELETE FROM session_events WHERE Sequence >= 4", 4)]
    [InlineData("DELETE FROM session_events", 1)]
    [InlineData("UPDATE session_events SET Sequence = 99 WHERE Sequence = 2; UPDATE session_events SET Sequence = 2 WHERE Sequence = 3; UPDATE session_events SET Sequence = 3 WHERE Sequence = 99", 2)]
    public async Task AChangeFromOutsideIsSeenWhereItIs(string tampering, long sequence)
    {
        var token = TestContext.Current.CancellationToken;
        var session = await Create();
        for (var number = 1; number <= 4; number++)
        {
            await AppendOne(Store, session, $"note {number}", token);
        }

        Assert.True((await Store.Load(session, token))!.Integrity.Valid);
        await using (var connection = new SqliteConnection($"Data Source={_folder.Inside(StorageRegistration.FileName)}"))
        {
            await connection.OpenAsync(token);
            await using var command = connection.CreateCommand();
            command.CommandText = tampering;
            await command.ExecuteNonQueryAsync(token);
        }

        var loaded = (await Store.Load(session, token))!;

        Assert.Equal(new IntegrityView(false, sequence), loaded.Integrity);
    }

    [Fact]
    public void ADatabaseOfAnotherVersionIsRefusedWithASentence()
    {
        using (var context = _first.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContext())
        {
            context.SchemaVersions.Single().Version = 99;
            context.SaveChanges();
        }

        var fault = Assert.Throws<InvalidOperationException>(() => StorageRegistration.Prepare(_second));
        Assert.Contains("version 99", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void EveryConnectionIsDurable()
    {
        using var context = _first.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContext();

        Assert.Equal("wal", context.Database.SqlQueryRaw<string>("SELECT journal_mode AS Value FROM pragma_journal_mode").Single());
        Assert.Equal(2, context.Database.SqlQueryRaw<int>("SELECT synchronous AS Value FROM pragma_synchronous").Single());
    }

    public void Dispose()
    {
        _first.Dispose();
        _second.Dispose();
        SqliteConnection.ClearAllPools();
        _folder.Dispose();
    }

    private SessionStore Store => _first.GetRequiredService<SessionStore>();

    private ServiceProvider Open()
    {
        var services = new ServiceCollection();
        services.AddLogging();
        services.AddSingleton(TimeProvider.System);
        var settings = new HubSettings { DataFolder = _folder.Path };
        services.AddSingleton(settings);
        services.AddStorage(settings);
        return services.BuildServiceProvider();
    }

    private async Task<SessionId> Create()
    {
        var id = SessionId.New();
        var row = new SessionEntity { SessionId = id.Value, PersonReference = "P-1", PersonName = "N", Referral = "r", Place = "p", KitId = "kit-01", ClinicianId = "c", Stage = nameof(SessionStage.Scheduled) };
        await Store.Create(row, new SessionScheduled("P-1", "p", default, new KitId("kit-01"), "c"), TestContext.Current.CancellationToken);
        return id;
    }

    private static AppendBatch Batch(LoadedSession loaded, string text) =>
        new([new SessionAppend(loaded, [new NoteAdded(text, new Actor("c", "C"))])], null, null, _ => { });

    private static async Task AppendOne(SessionStore store, SessionId session, string text, CancellationToken cancellationToken)
    {
        AppendOutcome outcome;
        do
        {
            outcome = await store.Append(Batch((await store.Load(session, cancellationToken))!, text), cancellationToken);
        }
        while (outcome == AppendOutcome.LostRace);
        Assert.Equal(AppendOutcome.Appended, outcome);
    }
}
