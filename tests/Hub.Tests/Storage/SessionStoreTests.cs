using System.Data.Common;
using System.Text.RegularExpressions;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Sessions.Events;
using Npgsql;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Log;
using TeleHearing.Hub.Storage.Postgres;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Verification;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>The event log on a real file.</summary>
public sealed class SessionStoreTests : StoreContract
{
    [Fact]
    public async Task AsLongAsNobodyWroteAboutKitsTheyAreNotReadAgain()
    {
        var (store, kits) = (Services.GetRequiredService<SessionStore>(), Services.GetRequiredService<KitFactStore>());
        var entered = new AppendBatch([], null, null, _ => { }) { Kits = [new KitEntity { KitId = "kit-01", Label = "loan kit", Where = "shelf" }] };
        Assert.Equal(AppendOutcome.Appended, await store.Append(entered, TestContext.Current.CancellationToken));
        var (loaded, states) = (await kits.Load(new KitId("kit-01"), TestContext.Current.CancellationToken), await kits.States(TestContext.Current.CancellationToken));

        // An entry of the audit is the log's own and says nothing about kits.
        await Services.GetRequiredService<IEventLog>().Append(new AppendRows { Audit = [new AuditText("kept", 1, "{}")] }, TestContext.Current.CancellationToken);

        Assert.Same(loaded, await kits.Load(new KitId("kit-01"), TestContext.Current.CancellationToken));
        Assert.Same(states, await kits.States(TestContext.Current.CancellationToken));
    }

    [Fact]
    public void EveryConnectionIsDurable()
    {
        using var context = Context();

        Assert.Equal("wal", context.Database.SqlQueryRaw<string>("SELECT journal_mode AS Value FROM pragma_journal_mode").Single());
        Assert.Equal(2, context.Database.SqlQueryRaw<int>("SELECT synchronous AS Value FROM pragma_synchronous").Single());
    }

    private protected override Task<HubSettings> Settings(TempFolder folder) => Task.FromResult(new HubSettings { DataFolder = folder.Path });

    protected override DbConnection Raw() => new SqliteConnection($"Data Source={Folder.Inside(StorageRegistration.FileName)}");
}

/// <summary>The same log in a PostgreSQL database that hubs share.</summary>
public sealed partial class SharedSessionStoreTests : StoreContract
{
    private string _database = string.Empty;

    [Fact]
    public void EveryConnectionIsDurable()
    {
        using var context = Context();

        Assert.Equal("on", context.Database.SqlQueryRaw<string>("SELECT current_setting('synchronous_commit') AS \"Value\"").Single());
    }

    [Fact]
    public async Task OfManyHubsThatStartAtOnceOneMakesTheTablesAndAllHaveTheSameKeys()
    {
        using var folder = new TempFolder();
        var settings = await Settings(folder);
        var hubs = Enumerable.Range(0, 4).Select(_ => Open(settings)).ToList();
        await Task.WhenAll(hubs.Select(hub => Task.Run(() => StorageRegistration.Prepare(hub), Token)));

        var keys = hubs.Select(hub => hub.GetRequiredService<Seals>().Close(Seals.Clinic, "place", "text")).ToList();
        Assert.All(hubs, hub => Assert.All(keys, closed => Assert.Equal("text", hub.GetRequiredService<Seals>().Open(Seals.Clinic, "place", closed))));
        hubs.ForEach(hub => hub.Dispose());
    }

    [Fact]
    public async Task AStoreOpensWithItsKeyFileAlone()
    {
        var other = Folder.Inside("other.key");
        await File.WriteAllBytesAsync(other, new byte[48], Token);
        await using var hub = Open(new HubSettings { DataFolder = Folder.Path, Database = _database, KeyFile = other });

        Assert.Equal(HubKeys.DoNotFit, Assert.Throws<InvalidOperationException>(() => StorageRegistration.Prepare(hub)).Message);
    }

    [Fact]
    public void EveryStepOfTheTablesHasItsTwin() => Assert.Equal(StorageRegistration.SchemaVersion, PostgresUpgrades.Newest);

    private protected override async Task<HubSettings> Settings(TempFolder folder)
    {
        var key = folder.Inside("hub.key");
        await File.WriteAllBytesAsync(key, [.. Enumerable.Range(0, 32).Select(number => (byte)number)], Token);
        _database = await (await PostgresServer.One).Database();
        return new HubSettings { DataFolder = folder.Path, Database = _database, KeyFile = key };
    }

    protected override DbConnection Raw() => new NpgsqlConnection(_database);

    // This database cannot say it: a hub that has verified a session itself looks at its last event only (docs/decisions/0046), every other one at all of them.
    private protected override SessionStore Reader => Other;

    // As PostgreSQL writes names and letters.
    protected override string Sql(string sqlite) =>
        Names().Replace(sqlite, "\"$0\"").Replace("char(unicode(", "chr(ascii(", StringComparison.Ordinal);

    [GeneratedRegex("Payload|Kind|TimeTicks|Sequence")]
    private static partial Regex Names();
}

/// <summary>What the event log keeps to, whichever database it is in.</summary>
public abstract class StoreContract : IAsyncLifetime
{
    private HubSettings _settings = null!;
    private ServiceProvider _first = null!;
    private ServiceProvider _second = null!;

    protected static CancellationToken Token => TestContext.Current.CancellationToken;

    private protected TempFolder Folder { get; } = new();

    public async ValueTask InitializeAsync()
    {
        _settings = await Settings(Folder);
        _first = Open(_settings);
        StorageRegistration.Prepare(_first);
        _second = Open(_settings);
        StorageRegistration.Prepare(_second);
    }

    private protected abstract Task<HubSettings> Settings(TempFolder folder);

    protected abstract DbConnection Raw();

    protected virtual string Sql(string sqlite) => sqlite;

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
        await using var connection = Raw();
        await connection.OpenAsync(token);
        var seals = _second.GetRequiredService<Seals>();
        Assert.Empty((await StoreVerifier.Verify(connection, [], seals, token)).Faults);
        await using (var command = connection.CreateCommand())
        {
            command.CommandText = Sql(tampering);
            await command.ExecuteNonQueryAsync(token);
        }

        var loaded = (await Reader.Load(session, token))!;

        Assert.Equal(new IntegrityView(false, sequence), loaded.Integrity);
        Assert.Contains((await StoreVerifier.Verify(connection, [], seals, token)).Faults, fault => fault.Where == $"session {session}" && fault.Entry == sequence);
    }

    [Fact]
    public async Task TheEndsOfChainsAreTheNewestWhoeverWroteThem()
    {
        var log = _first.GetRequiredService<IEventLog>();
        Assert.Null(await log.FindAuditEnd(Token));
        Assert.Null(await log.FindEnd(SessionId.New(), Token));
        var session = await Create();
        await AppendOne(Store, session, "here", Token);
        await new AuditLog(log).Write(new AuditEntry("here", null, null, [], null));
        Assert.Equal((2L, 1L), ((await log.FindEnd(session, Token))!.Value.Sequence, (await log.FindAuditEnd(Token))!.Value.Sequence));

        await AppendOne(Other, session, "there", Token);
        await new AuditLog(_second.GetRequiredService<IEventLog>()).Write(new AuditEntry("there", null, null, [], null));

        var (row, end) = ((await Store.ReadRows(session, Token))![^1], await log.FindEnd(session, Token));
        Assert.Equal((3L, Convert.ToHexString(row.Hash)), (end!.Value.Sequence, Convert.ToHexString(end.Value.Hash)));
        await using var context = Context();
        var entry = context.AuditEntries.OrderBy(kept => kept.Sequence).Last();
        var audit = await log.FindAuditEnd(Token);
        Assert.Equal((2L, Convert.ToHexString(entry.Hash)), (audit!.Value.Sequence, Convert.ToHexString(audit.Value.Hash)));
    }

    [Fact]
    public async Task TheStateOfAKitIsTheNewestWhoeverWroteIt()
    {
        var (here, there) = (_first.GetRequiredService<KitFactStore>(), _second.GetRequiredService<KitFactStore>());
        var kit = new KitId("kit-01");
        Assert.Null(await here.State(kit, Token));
        var entered = new AppendBatch([], null, null, _ => { }) { Kits = [new KitEntity { KitId = kit.Value, Label = "loan kit", Where = "shelf" }] };
        Assert.Equal(AppendOutcome.Appended, await Store.Append(entered, Token));
        Assert.Equal(0, (await here.State(kit, Token))!.Version);

        var moved = new KitMoved("Hill clinic", 93.6, new Actor("c", "C"));
        Assert.Equal(AppendOutcome.Appended, await Other.Append(new AppendBatch([], null, null, _ => { }) { KitFacts = [new KitFactAppend((await there.Load(kit, Token))!, [moved])] }, Token));

        Assert.Equal(1, (await here.State(kit, Token))!.Version);
        Assert.Same(await here.State(kit, Token), await here.State(kit, Token));
    }

    [Fact]
    public async Task AKitIsReadAnewOnceAnybodyWroteAboutIt()
    {
        var (here, there) = (_first.GetRequiredService<KitFactStore>(), _second.GetRequiredService<KitFactStore>());
        var kit = new KitId("kit-01");
        Assert.Null(await here.Load(kit, Token));
        Assert.Empty(await here.States(Token));
        var entered = new AppendBatch([], null, null, _ => { }) { Kits = [new KitEntity { KitId = kit.Value, Label = "loan kit", Where = "shelf" }] };
        Assert.Equal(AppendOutcome.Appended, await Store.Append(entered, Token));
        Assert.Equal(0, (await here.Load(kit, Token))!.State.Version);
        Assert.Equal(0, (await here.States(Token))[kit.Value].Version);

        // By this process, by another, and from outside.
        Assert.Equal(AppendOutcome.Appended, await Store.Append(new AppendBatch([], null, null, _ => { }) { KitFacts = [new KitFactAppend((await here.Load(kit, Token))!, [Moved()])] }, Token));
        Assert.Equal((1, 1), ((await here.Load(kit, Token))!.State.Version, (await here.States(Token))[kit.Value].Version));
        Assert.Equal(AppendOutcome.Appended, await Other.Append(new AppendBatch([], null, null, _ => { }) { KitFacts = [new KitFactAppend((await there.Load(kit, Token))!, [Moved()])] }, Token));
        Assert.Equal((2, 2), ((await here.Load(kit, Token))!.State.Version, (await here.States(Token))[kit.Value].Version));
        await using (var raw = Raw())
        {
            await raw.OpenAsync(Token);
            await using var command = raw.CreateCommand();
            command.CommandText = """UPDATE kit_facts SET "Payload" = 'changed' WHERE "Sequence" = 1""";
            Assert.Equal(1, await command.ExecuteNonQueryAsync(Token));
        }

        Assert.Equal(1, (await here.Load(kit, Token))!.Integrity.BrokenAtSequence);

        static KitMoved Moved() => new("Hill clinic", 93.6, new Actor("c", "C"));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task AKeyThatWasMadeSinceTheKitWasLoadedIsNotRetiredWithTheLoanOfTheOneBefore(bool madeAnew)
    {
        var (kits, kit) = (_first.GetRequiredService<KitFactStore>(), new KitId("kit-01"));
        Assert.Equal(AppendOutcome.Appended, await Store.Append(new AppendBatch([], null, null, _ => { }) { Kits = [new KitEntity { KitId = kit.Value, Label = "loan kit", Where = "shelf" }] }, Token));
        await Key("first", Guid.NewGuid());
        var loaded = (await kits.Load(kit, Token))!;
        if (madeAnew)
        {
            await Key("second", null);
        }

        Assert.Equal(AppendOutcome.Appended, await Store.Append(new AppendBatch([], null, null, _ => { }) { KitFacts = [new KitFactAppend(loaded, [new KitReleased(new Actor("c", "C"))])] }, Token));

        await using var context = Context();
        Assert.Equal(madeAnew ? "second" : null, (await context.Kits.SingleAsync(Token)).PublicKeyPem);

        async Task Key(string pem, Guid? loan)
        {
            await using var context = Context();
            await context.Kits.ExecuteUpdateAsync(set => set.SetProperty(row => row.PublicKeyPem, pem).SetProperty(row => row.KeyLoanId, loan), Token);
        }
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

    public async ValueTask DisposeAsync()
    {
        await _first.DisposeAsync();
        await _second.DisposeAsync();
        SqliteConnection.ClearAllPools();
        Folder.Dispose();
        GC.SuppressFinalize(this);
    }

    private protected HubContext Context() => _first.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContext();

    /// <summary>Who sees a change from outside at the next reading: the hub itself, where the database says that somebody else wrote.</summary>
    private protected virtual SessionStore Reader => Store;

    /// <summary>Another hub on the same database.</summary>
    private protected SessionStore Other => _second.GetRequiredService<SessionStore>();

    private protected IServiceProvider Services => _first;

    private SessionStore Store => _first.GetRequiredService<SessionStore>();

    private protected static ServiceProvider Open(HubSettings settings)
    {
        var services = new ServiceCollection();
        services.AddLogging();
        services.AddSingleton(TimeProvider.System);
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
