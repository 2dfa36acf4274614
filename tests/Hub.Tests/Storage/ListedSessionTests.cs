using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>What lists show of a session is written with the event that changes it, and left as it is by all others.</summary>
public sealed class ListedSessionTests : IDisposable
{
    private readonly TempFolder _folder = new();
    private readonly ServiceProvider _services;
    private readonly SessionId _session = SessionId.New();

    public ListedSessionTests()
    {
        var settings = new HubSettings { DataFolder = _folder.Path };
        _services = new ServiceCollection().AddLogging().AddSingleton(TimeProvider.System).AddSingleton(settings).AddStorage(settings).BuildServiceProvider();
        StorageRegistration.Prepare(_services);
    }

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    private static Actor Maren { get; } = new("c", "Maren Toft");

    private SessionStore Store => _services.GetRequiredService<SessionStore>();

    [Fact]
    public async Task EveryKindOfChangeIsListedWithItsEvent()
    {
        await Create();
        var start = await Row();
        Assert.Equal((1L, "Scheduled", "kit-01", null, false), Shown(start));

        Assert.Equal((2L, "Scheduled", "kit-01", null, false), Shown(await After(new NoteAdded("The person asked for a pause.", Maren))));
        Assert.Equal((3L, "Scheduled", "kit-01", "Maren Toft", false), Shown(await After(new ControlTaken(1, Maren))));
        Assert.Equal((4L, "Connecting", "kit-01", "Maren Toft", false), Shown(await After(new StageAdvanced(SessionStage.Scheduled, SessionStage.Connecting, Maren))));
        Assert.Equal((5L, "Connecting", "kit-02", "Maren Toft", false), Shown(await After(new SessionKitChanged(new KitId("kit-01"), new KitId("kit-02"), Maren))));

        var (before, after) = (await Row(), await After(new NoteAdded("Another note.", Maren)));
        Assert.Equal((6L, "Connecting", "kit-02", "Maren Toft", false), Shown(after));
        Assert.Equal(before.SealedController, after.SealedController);
        Assert.True(after.LastEventTicks >= before.LastEventTicks);
    }

    [Fact]
    public async Task AnEventThatChangesNothingListedWritesFewerPages()
    {
        // So many that the page of an index is not also the page of something else.
        for (var number = 0; number < 40; number++)
        {
            await Create(SessionId.New());
        }

        await Create();
        var note = await Pages(new NoteAdded("The person asked for a pause.", Maren));
        var move = await Pages(new SessionKitChanged(new KitId("kit-01"), new KitId("kit-02"), Maren));

        // The event, its index, the counter of rows and the session's row; with another kit the index of kits too.
        Assert.InRange(note, 1, 4);
        Assert.True(move > note, $"{move} pages for another kit, {note} for a note");
    }

    public void Dispose()
    {
        _services.Dispose();
        _folder.Dispose();
    }

    private static (long Version, string Stage, string KitId, string? Controller, bool HandoffOpen) Shown(SessionEntity row) =>
        (row.Version, row.Stage, row.KitId, row.ControllerName, row.HandoffOpen);

    private Task Create() => Create(_session);

    private Task Create(SessionId id)
    {
        var row = new SessionEntity { SessionId = id.Value, PersonReference = "P-1", PersonName = "Ottilie Brandvold", Referral = "first test", Place = "at home", KitId = "kit-01", ClinicianId = "c", Stage = nameof(SessionStage.Scheduled) };
        return Store.Create(row, new SessionScheduled("P-1", "at home", default, new KitId("kit-01"), "c"), Token);
    }

    private async Task<SessionEntity> After(SessionEvent happened)
    {
        await Append(happened);
        return await Row();
    }

    private async Task Append(SessionEvent happened) =>
        Assert.Equal(AppendOutcome.Appended, await Store.Append(new AppendBatch([new SessionAppend((await Store.Load(_session, Token))!, [happened])], null, null, _ => { }), Token));

    private async Task<SessionEntity> Row()
    {
        await using var context = Context();
        return await context.Sessions.AsNoTracking().SingleAsync(row => row.SessionId == _session.Value, Token);
    }

    /// <summary>How many pages an event adds to the write-ahead log.</summary>
    private async Task<long> Pages(SessionEvent happened)
    {
        await using var context = Context();
        await context.Database.OpenConnectionAsync(Token);
        Assert.True(await WriteAheadLog.Empty(context.Database.GetDbConnection(), Token));
        await Append(happened);
        await using var command = context.Database.GetDbConnection().CreateCommand();
        command.CommandText = "PRAGMA wal_checkpoint(PASSIVE)";
        await using var answer = await command.ExecuteReaderAsync(Token);
        Assert.True(await answer.ReadAsync(Token));
        return answer.GetInt64(1);
    }

    private HubContext Context() => _services.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContext();
}
