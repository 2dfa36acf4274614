using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Log;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>Appends that share a sync of the disk, on a real file.</summary>
public sealed class EventLogTests : IDisposable
{
    private readonly TempFolder _folder = new();
    private readonly ServiceProvider _services;

    public EventLogTests()
    {
        var settings = new HubSettings { DataFolder = _folder.Path };
        _services = new ServiceCollection().AddLogging().AddSingleton(TimeProvider.System).AddSingleton(settings).AddStorage(settings).AddSingleton<AuditLog>().BuildServiceProvider();
        StorageRegistration.Prepare(_services);
    }

    private static async Task Until(Func<Task<bool>> holds)
    {
        while (!await holds())
        {
            await Task.Yield();
            Token.ThrowIfCancellationRequested();
        }
    }

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    private SessionStore Store => _services.GetRequiredService<SessionStore>();

    private IEventLog Log => _services.GetRequiredService<IEventLog>();

    [Fact]
    public async Task WhatComesWhileOneIsWrittenSharesOneTransaction()
    {
        var sessions = await Create(9);
        var first = new TaskCompletionSource();
        var order = new List<int>();

        // While the first is being settled, eight more come: they wait for one transaction, not for eight.
        var (began, others) = (await Commits(), new List<Task<AppendOutcome>>());
        var leader = Append(sessions[0], "first", () =>
        {
            for (var number = 1; number <= 8; number++)
            {
                var own = number;
                others.Add(Append(sessions[own], $"note {own}", () => order.Add(own)));
            }

            first.TrySetResult();
        });
        Assert.Equal(AppendOutcome.Appended, await leader);
        await first.Task;
        Assert.All(await Task.WhenAll(others), outcome => Assert.Equal(AppendOutcome.Appended, outcome));

        Assert.Equal(2, await Commits() - began);
        Assert.Equal(Enumerable.Range(1, 8), order);
    }

    [Fact]
    public async Task NothingIsSaidOfOthersWhileTheLogWaitsForOneOfThem()
    {
        var session = Assert.Single(await Create(1));
        var before = await Log.Look(Token);
        Assert.NotNull(before);
        Task<AppendOutcome> waits;
        await using (var other = new SqliteConnection($"Data Source={_folder.Inside(StorageRegistration.FileName)};Pooling=False"))
        {
            await other.OpenAsync(Token);
            await using var writes = other.BeginTransaction(deferred: false);
            waits = Task.Run(() => Append(session, "waits", () => { }), Token);
            await Until(async () => await Log.Look(Token) is null);
            await using var change = other.CreateCommand();
            change.CommandText = "UPDATE sessions SET LastEventTicks = LastEventTicks + 1";
            await change.ExecuteNonQueryAsync(Token);
            await writes.CommitAsync(Token);

            // The log has not looked again yet, and must not give out the mark of before.
            Assert.NotEqual(before, await Log.Look(Token));
        }

        Assert.Equal(AppendOutcome.Appended, await waits);
        Assert.True((await Log.Look(Token))!.Value.Others > before.Value.Others);
    }

    [Fact]
    public async Task SilenceGoesAheadOfAllThatWait()
    {
        var sessions = await Create(5);
        var (order, others) = (new List<int>(), new List<Task<AppendOutcome>>());
        await Append(sessions[0], "first", () =>
        {
            for (var number = 1; number <= 3; number++)
            {
                var own = number;
                others.Add(Append(sessions[own], $"note {own}", () => order.Add(own)));
            }

            others.Add(Append(sessions[4], "silence", () => order.Add(4), ahead: true));
        });
        await Task.WhenAll(others);

        Assert.Equal([4, 1, 2, 3], order);
    }

    [Fact]
    public async Task OneThatLosesItsRaceTakesNothingOfTheOthersAlong()
    {
        var sessions = await Create(3);
        var stale = (await Store.Load(sessions[1], Token))!;
        await Append(sessions[1], "newer", () => { });
        var others = new List<Task<AppendOutcome>>();
        await Append(sessions[0], "first", () =>
        {
            others.Add(Append(sessions[2], "good", () => { }));
            others.Add(Store.Append(new AppendBatch([new SessionAppend(stale, [Note("stale")])], new ReceiptToKeep(new Receipt(CommandId.New(), null, 2, null), sessions[1], [1]), new CursorToKeep(new KitId("kit-01"), JournalId.New(), 3), _ => Assert.Fail("It was not appended.")), Token));
            others.Add(Append(sessions[0], "second", () => { }, expected: 2));
        });

        Assert.Equal([AppendOutcome.Appended, AppendOutcome.LostRace, AppendOutcome.Appended], await Task.WhenAll(others));
        Assert.Equal(0L, await Scalar("SELECT COUNT(*) FROM command_receipts"));
        Assert.Equal(0L, await Scalar("SELECT COUNT(*) FROM kit_cursors"));
        Assert.Equal(2, (await Store.ReadRows(sessions[1], Token))!.Count);
    }

    [Fact]
    public async Task AFaultOfOneIsTheFaultOfNobodyElse()
    {
        var sessions = await Create(3);
        var others = new List<Task<AppendOutcome>>();
        Task<AppendOutcome>? broken = null;
        await Append(sessions[0], "first", () =>
        {
            others.Add(Append(sessions[1], "before", () => { }));
            broken = Log.Append(new AppendRows { Beside = (_, _) => throw new IOException("a fault") }, Token);
            others.Add(Append(sessions[2], "after", () => { }));
        });

        await Assert.ThrowsAsync<IOException>(() => broken!);
        Assert.All(await Task.WhenAll(others), outcome => Assert.Equal(AppendOutcome.Appended, outcome));
        Assert.Equal(2, (await Store.ReadRows(sessions[1], Token))!.Count);
        Assert.Equal(2, (await Store.ReadRows(sessions[2], Token))!.Count);
    }

    [Fact]
    public async Task ASessionThatWasChangedFromOutsideSinceItWasReadTakesNothing()
    {
        var session = (await Create(1))[0];
        await Append(session, "true", () => { });
        var loaded = (await Store.Load(session, Token))!;
        await Outside("UPDATE session_events SET TimeTicks = TimeTicks + 1 WHERE Sequence = 1");

        var outcome = await Store.Append(new AppendBatch([new SessionAppend(loaded, [Note("more")])], null, null, _ => { }), Token);

        Assert.Equal(AppendOutcome.LostRace, outcome);
        Assert.Equal(new IntegrityView(false, 1), (await Store.Load(session, Token))!.Integrity);
    }

    [Fact]
    public async Task WhatAnotherProcessWroteElsewhereCostsNoRace()
    {
        var session = (await Create(1))[0];
        await Append(session, "one", () => { });
        var loaded = (await Store.Load(session, Token))!;
        await Outside("UPDATE schema_version SET Version = Version");
        await Outside("INSERT INTO kit_cursors VALUES ('x', 'kit-09', 1)");

        Assert.Equal(AppendOutcome.Appended, await Store.Append(new AppendBatch([new SessionAppend(loaded, [Note("two")])], null, null, _ => { }), Token));
    }

    [Fact]
    public async Task TheAuditIsOneChainWhoeverWritesIt()
    {
        var audit = _services.GetRequiredService<AuditLog>();
        var entry = new AuditEntry("signed in", "p-1", null, [], null);
        await audit.Write(entry);
        await Outside("UPDATE audit_entries SET Hash = Hash; INSERT INTO audit_entries SELECT 2, Kind, Shape, Payload, TimeTicks, Hash, zeroblob(32) FROM audit_entries WHERE Sequence = 1");
        await Task.WhenAll(audit.WriteLate(entry), audit.Write(entry), audit.WriteLate(entry));

        // The entry from outside is followed, not written over: which one does not fit, verification says.
        Assert.Equal([1L, 2L, 3L, 4L, 5L], await Column("SELECT Sequence FROM audit_entries ORDER BY Sequence"));
        Assert.Equal(5L, await Scalar("SELECT Entries FROM audit_head"));
        Assert.Equal(3L, await Scalar("SELECT COUNT(*) FROM audit_entries AS later JOIN audit_entries AS earlier ON later.Sequence = earlier.Sequence + 1 AND later.PreviousHash = earlier.Hash WHERE later.Sequence > 2"));
    }

    [Fact]
    public async Task WhatIsLateIsDurableWhenTheLogEnds()
    {
        var audit = _services.GetRequiredService<AuditLog>();
        await audit.Write(new AuditEntry("signed in", "p-1", null, [], null));
        var late = audit.WriteLate(new AuditEntry("signed in", "p-1", null, [], null));

        await _services.DisposeAsync();

        await late;
        Assert.Equal(2L, await Scalar("SELECT COUNT(*) FROM audit_entries"));
    }

    public void Dispose()
    {
        _services.Dispose();
        SqliteConnection.ClearAllPools();
        _folder.Dispose();
    }

    private static NoteAdded Note(string text) => new(text, new Actor("c", "C"));

    private async Task<IReadOnlyList<SessionId>> Create(int count)
    {
        var sessions = new List<SessionId>();
        for (var number = 0; number < count; number++)
        {
            var id = SessionId.New();
            var row = new SessionEntity { SessionId = id.Value, PersonReference = "P-1", PersonName = "N", Referral = "r", Place = "p", KitId = "kit-01", ClinicianId = "c", Stage = nameof(SessionStage.Scheduled) };
            await Store.Create(row, new SessionScheduled("P-1", "p", default, new KitId("kit-01"), "c"), Token);
            sessions.Add(id);
        }

        foreach (var session in sessions)
        {
            await Store.Load(session, Token);
        }

        return sessions;
    }

    // Loaded before anything is appended in the same moment: what is known of the session is in memory, so that nothing is waited for on the way.
    private Task<AppendOutcome> Append(SessionId session, string text, Action committed, bool ahead = false, long? expected = null)
    {
        var loading = Store.Load(session, Token);
        Assert.True(loading.IsCompletedSuccessfully);
#pragma warning disable xUnit1031 // it is completed
        var loaded = loading.Result!;
#pragma warning restore xUnit1031 // as before
        Assert.Equal(expected ?? loaded.State.Version, loaded.State.Version);
        return Store.Append(new AppendBatch([new SessionAppend(loaded, [Note(text)])], null, null, _ => committed()) { Ahead = ahead }, Token);
    }

    /// <summary>Transactions that wrote, by the file's own counter of them (the change counter of the database header does not move in WAL; the number of commit frames does).</summary>
    private async Task<int> Commits()
    {
        var wal = await File.ReadAllBytesAsync(_folder.Inside(StorageRegistration.FileName + "-wal"), Token);

        // sqlite.org/fileformat2.html, 4.1: a header of 32 bytes, then frames of 24 bytes and a page; a frame that commits names the size of the database after it, others name 0.
        const int Header = 32, FrameHeader = 24, SizeAfter = 4, PageSizeAt = 8;
        var frame = FrameHeader + System.Buffers.Binary.BinaryPrimitives.ReadInt32BigEndian(wal.AsSpan(PageSizeAt));
        return Enumerable.Range(0, (wal.Length - Header) / frame).Count(number => System.Buffers.Binary.BinaryPrimitives.ReadInt32BigEndian(wal.AsSpan(Header + (number * frame) + SizeAfter)) != 0);
    }

    private async Task Outside(string sql)
    {
        await using var connection = new SqliteConnection($"Data Source={_folder.Inside(StorageRegistration.FileName)};Pooling=False");
        await connection.OpenAsync(Token);
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        await command.ExecuteNonQueryAsync(Token);
    }

    private async Task<object?> Scalar(string sql) => (await Column(sql)).FirstOrDefault();

    private async Task<List<object>> Column(string sql)
    {
        await using var connection = new SqliteConnection($"Data Source={_folder.Inside(StorageRegistration.FileName)};Pooling=False");
        await connection.OpenAsync(Token);
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        await using var reader = await command.ExecuteReaderAsync(Token);
        var values = new List<object>();
        while (await reader.ReadAsync(Token))
        {
            values.Add(reader.GetValue(0));
        }

        return values;
    }
}
