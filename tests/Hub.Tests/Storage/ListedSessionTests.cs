using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
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
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 9, 0, 0, TimeSpan.Zero));
    private readonly SessionId _session = SessionId.New();

    public ListedSessionTests()
    {
        var settings = new HubSettings { DataFolder = _folder.Path };
        _services = new ServiceCollection().AddLogging().AddSingleton<TimeProvider>(_time).AddSingleton(settings).AddStorage(settings).BuildServiceProvider();
        StorageRegistration.Prepare(_services);
    }

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    private static Actor Maren { get; } = new("c", "Maren Toft");

    private static Actor Hedda { get; } = new("h", "Hedda Norling");

    private SessionStore Store => _services.GetRequiredService<SessionStore>();

    [Fact]
    public async Task EveryKindOfChangeIsListedWithItsEvent()
    {
        await Create();
        Assert.Equal((1L, "Scheduled", "kit-01", null, false), Shown(await Row()));

        Assert.Equal((2L, "Scheduled", "kit-01", null, false), Shown(await After(new NoteAdded("The person asked for a pause.", Maren))));
        Assert.Equal((3L, "Scheduled", "kit-01", "Maren Toft", false), Shown(await After(new ControlTaken(1, Maren))));
        Assert.Equal((4L, "Connecting", "kit-01", "Maren Toft", false), Shown(await After(new StageAdvanced(SessionStage.Scheduled, SessionStage.Connecting, Maren))));
        Assert.Equal((5L, "Connecting", "kit-02", "Maren Toft", false), Shown(await After(new SessionKitChanged(new KitId("kit-01"), new KitId("kit-02"), Maren))));
        Assert.Equal((6L, "Connecting", "kit-02", "Hedda Norling", false), Shown(await After(new ControlTakenOver(2, Maren, "taken ill", Hedda))));
        Assert.Equal((7L, "Connecting", "kit-02", null, false), Shown(await After(new ControlReleased(Hedda))));

        var owner = new HandoffOwner("h", "Hedda Norling");
        Assert.Equal((8L, "Connecting", "kit-02", null, true), Shown(await After(new HandoffRecorded(new RecordHandoff("Hears low tones well.", "Fitting in May.", false) { Owner = owner }, Maren))));
        Assert.Equal((9L, "Connecting", "kit-02", null, false), Shown(await After(new HandoffAcknowledged(owner, null, Hedda))));
    }

    [Fact]
    public async Task ANoteMovesVersionAndTimeAndNothingElse()
    {
        await Create();
        await Append(new ControlTaken(1, Maren));
        var before = await Row();
        _time.Advance(TimeSpan.FromMinutes(3));

        var after = await After(new NoteAdded("The person asked for a pause.", Maren));

        Assert.Equal((before.Version + 1, _time.GetUtcNow().UtcTicks), (after.Version, after.LastEventTicks));
        Assert.Equal((before.Stage, before.KitId, before.SealedController, before.SealedPlan), (after.Stage, after.KitId, after.SealedController, after.SealedPlan));
    }

    [Fact]
    public async Task ARowThatShowsSomethingElseIsPutRightByTheNextEvent()
    {
        await Create();
        await Append(new ControlTaken(1, Maren));
        await Run($"UPDATE sessions SET Stage = 'Closed', KitId = 'kit-09', SealedController = NULL, HandoffOpen = 1 WHERE SessionId = '{_session.Value.ToString().ToUpperInvariant()}'");
        Assert.Equal((2L, "Closed", "kit-09", null, true), Shown(await Row()));

        Assert.Equal((3L, "Scheduled", "kit-01", "Maren Toft", false), Shown(await After(new NoteAdded("The person asked for a pause.", Maren))));
    }

    [Fact]
    public async Task AnEventThatChangesNothingListedDoesNotTouchTheIndexOfKits()
    {
        await Create();
        await Run("CREATE TABLE named (Kit TEXT); CREATE TRIGGER naming AFTER UPDATE OF KitId ON sessions BEGIN INSERT INTO named VALUES (new.KitId); END");

        await Append(new NoteAdded("The person asked for a pause.", Maren));
        Assert.Equal(0, await Named());

        await Append(new SessionKitChanged(new KitId("kit-01"), new KitId("kit-02"), Maren));
        Assert.Equal(1, await Named());
    }

    public void Dispose()
    {
        _services.Dispose();
        _folder.Dispose();
    }

    private static (long Version, string Stage, string KitId, string? Controller, bool HandoffOpen) Shown(SessionEntity row) =>
        (row.Version, row.Stage, row.KitId, row.ControllerName, row.HandoffOpen);

    private Task Create()
    {
        var row = new SessionEntity { SessionId = _session.Value, PersonReference = "P-1", PersonName = "Ottilie Brandvold", Referral = "first test", Place = "at home", KitId = "kit-01", ClinicianId = "c", Stage = nameof(SessionStage.Scheduled) };
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

    /// <summary>How often an event named the kit of a session, the same or another.</summary>
    private async Task<int> Named()
    {
        await using var context = Context();
        return await context.Database.SqlQueryRaw<int>("SELECT COUNT(*) AS Value FROM named").SingleAsync(Token);
    }

    private async Task Run(string sql)
    {
        await using var context = Context();
        await context.Database.ExecuteSqlRawAsync(sql, Token);
    }

    private HubContext Context() => _services.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContext();
}
