using System.Net;
using System.Net.Http.Json;
using System.Threading.Channels;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Fleet;

/// <summary>The fleet over real sockets and a real database: who may do what, both logs in one act, lost races, damage.</summary>
public sealed class FleetHubTests : IAsyncLifetime
{
    private static readonly KitId _kitId = new("kit-01");
    private static readonly DateOnly _today = DateOnly.FromDateTime(TimeProvider.System.GetLocalNow().Date);

    private RunningHub _hub = null!;
    private TestConsole _coordinator = null!;
    private TestConsole _clinician = null!;
    private TestKit _kit = null!;
    private string _coordinatorId = null!;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start();
        _kit = await _hub.Kit();
        _coordinatorId = await _hub.Person("Pella Nyström", Roles.Coordinator);
        _coordinator = await _hub.Console(_coordinatorId);
        _clinician = await _hub.Console(await _hub.Person("Maren Toft", Roles.Clinician));
        await _kit.Connect(gear: KitSamples.Gear(_today.AddDays(-5)));
        await _coordinator.MustKit(_kitId, KitSamples.Function(passed: true));
    }

    public async ValueTask DisposeAsync()
    {
        await _coordinator.DisposeAsync();
        await _clinician.DisposeAsync();
        await _kit.DisposeAsync();
        await _hub.DisposeAsync();
    }

    [Fact]
    public async Task ARequestIsPlacedInBothLogsAtOnceAndWatchersAreTold()
    {
        var told = Channel.CreateUnbounded<FleetView>();
        _clinician.Connection.On<FleetView>(nameof(IConsoleClient.FleetChanged), view => told.Writer.TryWrite(view));
        Assert.NotNull((await Watch(_clinician)).View);
        var request = Request();
        Assert.Null((await Ask(_coordinator, request)).Refusal);
        var choice = await _coordinator.Connection.InvokeAsync<LoanChoiceReply>(nameof(IConsoleHub.ConsiderLoan), Protocol.Version, request, TestContext.Current.CancellationToken);
        Assert.True(Assert.Single(choice.Kits).Fits, string.Join(" ", choice.Kits[0].Reasons));

        Assert.Null((await Ask(_coordinator, new PlaceLoan(request.LoanId, _kitId))).Refusal);

        FleetView view;
        do
        {
            view = await told.Reader.ReadAsync(TestContext.Current.CancellationToken);
        }
        while (view.Loans is not [{ Standing: LoanStanding.Promised }]);
        Assert.Equal(_kitId, view.Loans[0].KitId);
        Assert.Equal(request.LoanId, Assert.Single((await _hub.Get<KitFactStore>().Load(_kitId, TestContext.Current.CancellationToken))!.State.Loans).LoanId);
        var paper = await Paper(request.LoanId, _coordinatorId);
        Assert.Equal(HttpStatusCode.OK, paper.StatusCode);
        Assert.Contains("Loan of a hearing test kit", await paper.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
        Assert.NotEqual(HttpStatusCode.OK, (await Paper(request.LoanId, null)).StatusCode);
    }

    [Fact]
    public async Task ALostRaceIsDecidedAnewAndNothingIsHalfKept()
    {
        var requests = Enumerable.Range(0, 6).Select(_ => Request()).ToList();
        foreach (var request in requests)
        {
            Assert.Null((await Ask(_coordinator, request)).Refusal);
        }

        var receipts = await Task.WhenAll(requests.Select(request => Ask(_coordinator, new PlaceLoan(request.LoanId, _kitId))));

        // The same days: one wins, the others are refused by what it left behind.
        Assert.Single(receipts, receipt => receipt.Refusal is null);
        var view = (await Watch(_coordinator)).View!;
        Assert.True(view.Integrity.Valid);
        Assert.Single(view.Loans, loan => loan.KitId == _kitId);
        Assert.Equal(7, view.Version);
    }

    [Fact]
    public async Task AnAppendOnAnOldHeadIsALostRaceForBothLogs()
    {
        var token = TestContext.Current.CancellationToken;
        var (store, kits, log) = (_hub.Get<FleetFactStore>(), _hub.Get<KitFactStore>(), _hub.Get<SessionStore>());
        var (fleet, kit) = (await store.Load(token), (await kits.Load(_kitId, token))!);
        Assert.Null((await Ask(_coordinator, Request())).Refusal);
        var batch = new AppendBatch([], null, null, _ => { })
        {
            KitFacts = [new KitFactAppend(kit, [new Hub.Kits.Facts.KitMoved("elsewhere", null, KitSamples.Coordinator)])],
            FleetFacts = new FleetFactAppend(fleet, [new TermsWereSet(FleetTerms.Initial, KitSamples.Coordinator)]),
        };

        Assert.Equal(AppendOutcome.LostRace, await log.Append(batch, token));

        Assert.Equal(kit.State.Version, (await kits.Load(_kitId, token))!.State.Version);
        Assert.Equal(1, (await store.Load(token)).State.Version);
    }

    [Fact]
    public async Task ACoordinatorSetsTermsAndAClinicianAsksOnlyForPlannedSessions()
    {
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await Ask(_clinician, new SetTerms(FleetTerms.Initial))).Refusal!.Code);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await Ask(_clinician, Request())).Refusal!.Code);
        Assert.Equal(RefusalCodes.SessionUnknown, (await Ask(_clinician, Request() with { Sessions = [SessionId.New()] })).Refusal!.Code);
        Assert.Null((await Ask(_coordinator, new SetTerms(FleetTerms.Initial with { Telephone = "555-0100" }))).Refusal);
        Assert.Null((await Ask(_coordinator, new SetCalendar("north", [DayOfWeek.Sunday], [new CalendarHoliday(_today, "Ferry day")]))).Refusal);

        var view = (await Watch(_clinician)).View!;

        Assert.Equal("555-0100", view.Terms.Telephone);
        Assert.Equal([FleetCalendar.Clinic, "north"], view.Calendars.Select(calendar => calendar.Region));
    }

    [Fact]
    public async Task TheAddressTheCoordinatorEntersIsOnThePaperAndInTheKitsOwnCase()
    {
        Assert.Null((await Ask(_coordinator, new SetTerms(FleetTerms.Initial with { ReturnAddress = "Fernhill Hearing\nMill Lane 4" }))).Refusal);
        var request = Request();
        Assert.Null((await Ask(_coordinator, request)).Refusal);
        Assert.Null((await Ask(_coordinator, new PlaceLoan(request.LoanId, _kitId))).Refusal);
        foreach (var command in new KitCommand[] { new SignLoanPaper(request.LoanId, "R. Hale"), new PackKit(request.LoanId, [], null, null), new SendKit(request.LoanId, "T-1", _today, EntryMeans.Typed) })
        {
            await _coordinator.MustKit(_kitId, command);
        }

        Assert.Contains("No photo was taken", await (await Paper(request.LoanId, _coordinatorId)).Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
        Assert.Contains("Fernhill Hearing<br>Mill Lane 4", await (await Paper(request.LoanId, _coordinatorId)).Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
        Assert.Equal(["Fernhill Hearing", "Mill Lane 4"], (await OwnCase()).ReturnTo);

        Assert.Null((await Ask(_coordinator, new SetTerms(FleetTerms.Initial with { ReturnAddress = "Oak Yard 9" }))).Refusal);
        Assert.Equal(["Oak Yard 9"], (await OwnCase()).ReturnTo);
    }

    public static TheoryData<FleetCommand, string> Bad => new()
    {
        { new SetTerms(FleetTerms.Initial with { Zone = "Mars/Base", QuarantineHours = -1 }), "Hours of quarantine" },
        { new SetTerms(FleetTerms.Initial with { Ladder = [] }), "The ladder of reminders" },
        { new SetCalendar("north", [.. Enum.GetValues<DayOfWeek>()], []), "All seven days are free" },
        { new SetCalendar("north", [], [new CalendarHoliday(_today, "a"), new CalendarHoliday(_today, "b")]), "is there twice" },
        { new SetCalendar("north", [], [.. Enumerable.Range(0, 400).Select(days => new CalendarHoliday(_today.AddDays(days), "shut"))]), "there is no working day at all" },
        { new NoteIncident(1, null, null, null, null, null, null), "nothing to note" },
        { new PlanErrand(Guid.CreateVersion7(), " ", [], _today, _today), "The laboratory is missing" },
        { new WithdrawLoan(LoanId.New(), " "), "The reason is missing" },
    };

    [Theory]
    [MemberData(nameof(Bad))]
    public async Task WhatCannotBeTrueIsRefusedWithAllThatIsWrong(FleetCommand command, string words)
    {
        var receipt = await Ask(_coordinator, command);

        Assert.Equal(RefusalCodes.Invalid, receipt.Refusal!.Code);
        Assert.Contains(words, receipt.Refusal.Sentence, StringComparison.Ordinal);
        Assert.Equal(0, (await Watch(_coordinator)).View!.Version);
    }

    [Fact]
    public async Task ALostKitOpensAnIncidentInTheSameAct()
    {
        await _coordinator.MustKit(_kitId, new ReportKitGone(Stolen: false, "Left on a train.", MayHoldData: true));

        var incident = Assert.Single((await Watch(_coordinator)).View!.Incidents);

        Assert.Equal((IncidentKind.Lost, _kitId, "Left on a train.", "Pella Nyström"), (incident.Kind, incident.KitId!.Value, incident.Circumstances, incident.OpenedBy));
    }

    [Fact]
    public async Task AKitThatFailsAtTheSiteIsSwappedForTheSessionsStillToCome()
    {
        await using var other = await _hub.Kit("kit-02");
        await other.Connect(gear: KitSamples.Gear(_today.AddDays(-5), serial: "CE-2299") with { UnitSerial = "AU-1150", Calibration = KitSamples.Certificate(_today.AddDays(-5), serial: "CE-2299") with { UnitSerial = "AU-1150" } });
        await _coordinator.MustKit(new KitId("kit-02"), KitSamples.Function(passed: true));
        var request = Request() with { SessionDays = [_today.AddDays(30), _today.AddDays(37)] };
        Assert.Null((await Ask(_coordinator, request)).Refusal);
        Assert.Null((await Ask(_coordinator, new PlaceLoan(request.LoanId, _kitId))).Refusal);
        await _coordinator.MustKit(_kitId, new SignLoanPaper(request.LoanId, "R. Hale"));
        await _coordinator.MustKit(_kitId, new PackKit(request.LoanId, [], null, null));
        await _coordinator.MustKit(_kitId, new SendKit(request.LoanId, "T-1", _today, EntryMeans.Typed));
        var swap = new SwapLoan(request.LoanId, LoanId.New(), new KitId("kit-02"), [_today.AddDays(37)], "nothing on the left side");

        Assert.Null((await Ask(_coordinator, swap)).Refusal);

        var loans = (await Watch(_coordinator)).View!.Loans;
        Assert.Equal((LoanStanding.OnLoan, swap.NewLoanId), (loans.Single(loan => loan.KitId == _kitId).Standing, loans.Single(loan => loan.KitId == _kitId).SwappedFor!.Value));
        var taker = loans.Single(loan => loan.Request.LoanId == swap.NewLoanId);
        Assert.Equal((LoanStanding.Promised, new KitId("kit-02")), (taker.Standing, taker.KitId!.Value));
        Assert.Equal([_today.AddDays(37)], taker.Request.SessionDays);
        Assert.Equal(RefusalCodes.LoanStanding, (await Ask(_coordinator, swap with { NewLoanId = LoanId.New() })).Refusal!.Code);
    }

    [Fact]
    public async Task ASessionGoesOverToTheKitThatIsChosenForItAndToTheOneItIsSwappedFor()
    {
        var clinician = await _hub.Person("Ivo Lindqvist", Roles.Clinician);
        await using var watching = await _hub.Console(clinician);
        await using var other = await Calibrated("kit-02", "CE-2299", "AU-1150");
        await using var third = await Calibrated("kit-03", "CE-2311", "AU-1161");
        var (near, far) = (await Planned(clinician, 30), await Planned(clinician, 37));
        Assert.Equal(_kitId, (await watching.Watch(far)).View!.Kit.KitId);
        var request = Request() with { Sessions = [near, far], SessionDays = [] };
        Assert.Null((await Ask(_coordinator, request)).Refusal);

        Assert.Null((await Ask(_coordinator, new PlaceLoan(request.LoanId, new KitId("kit-02")))).Refusal);

        Assert.Equal(new KitId("kit-02"), (await watching.Until(view => view.Kit.KitId != _kitId)).Kit.KitId);
        Assert.All((await Watch(_coordinator)).View!.Sessions, session => Assert.Equal(new KitId("kit-02"), session.KitId));
        await _coordinator.MustKit(new KitId("kit-02"), new SignLoanPaper(request.LoanId, "R. Hale"));
        await _coordinator.MustKit(new KitId("kit-02"), new PackKit(request.LoanId, [], null, null));
        await _coordinator.MustKit(new KitId("kit-02"), new SendKit(request.LoanId, "T-1", _today, EntryMeans.Typed));
        var swap = new SwapLoan(request.LoanId, LoanId.New(), new KitId("kit-03"), [_today.AddDays(37)], "nothing on the left side");
        Assert.Null((await Ask(_coordinator, swap)).Refusal);

        var fleet = (await Watch(_coordinator)).View!;
        Assert.All(fleet.Loans, loan => Assert.Null(loan.Doubt));
        var sessions = fleet.Sessions.ToDictionary(session => session.SessionId);
        Assert.Equal((new KitId("kit-03"), swap.NewLoanId), (sessions[far].KitId, sessions[far].LoanId!.Value));
        Assert.Equal(new KitId("kit-02"), sessions[near].KitId);
        var view = await watching.Until(seen => seen.Kit.KitId == new KitId("kit-03"));
        Assert.Contains(view.Timeline, entry => entry.Text == "Pella Nyström chose kit-03 for this session instead of kit-02.");
        var log = (await _hub.Get<SessionStore>().Load(far, TestContext.Current.CancellationToken))!;
        Assert.Equal((true, new KitId("kit-03"), new KitId("kit-03")), (log.Integrity.Valid, log.State.KitId, log.Plan.KitId));
        await watching.Must(new TakeControl());
        await third.DisposeAsync();
        Assert.False((await watching.Until(seen => !seen.Kit.Online)).Kit.Online);
    }

    [Fact]
    public async Task ASessionThatHasBegunKeepsItsKit()
    {
        await using var other = await Calibrated("kit-02", "CE-2299", "AU-1150");
        var clinician = await _hub.Person("Ivo Lindqvist", Roles.Clinician);
        await using var watching = await _hub.Console(clinician);
        var session = await Planned(clinician, 30);
        var request = Request() with { Sessions = [session], SessionDays = [] };
        Assert.Null((await Ask(_coordinator, request)).Refusal);
        await watching.Watch(session);
        await watching.Must(new TakeControl());

        var refusal = (await Ask(_coordinator, new PlaceLoan(request.LoanId, new KitId("kit-02")))).Refusal;

        Assert.Equal(RefusalCodes.SessionUnknown, refusal!.Code);
        var loaded = (await _hub.Get<SessionStore>().Load(session, TestContext.Current.CancellationToken))!;
        Assert.Equal((_kitId, _kitId), (loaded.State.KitId, loaded.Plan.KitId));
        Assert.Empty((await _hub.Get<KitFactStore>().Load(new KitId("kit-02"), TestContext.Current.CancellationToken))!.State.Loans);
    }

    [Theory]
    [InlineData("DELETE FROM fleet_facts WHERE Sequence = 2", 2)]
    [InlineData("UPDATE fleet_facts SET Payload = Payload || 'A' WHERE Sequence = 1", 1)]
    public async Task FactsChangedFromOutsideAreSeenAndNothingIsAdded(string tampering, int brokenAt)
    {
        Assert.Null((await Ask(_coordinator, new SetTerms(FleetTerms.Initial with { Telephone = "555-0100" }))).Refusal);
        Assert.Null((await Ask(_coordinator, new SetTerms(FleetTerms.Initial))).Refusal);
        await Tamper(tampering);

        Assert.Equal(RefusalCodes.FleetDamaged, (await Ask(_coordinator, new SetTerms(FleetTerms.Initial))).Refusal!.Code);
        Assert.Equal(new IntegrityView(false, brokenAt), (await Watch(_coordinator)).View!.Integrity);
    }

    private async Task<TestKit> Calibrated(string id, string transducer, string unit)
    {
        var kit = await _hub.Kit(id);
        var gear = KitSamples.Gear(_today.AddDays(-5), serial: transducer);
        await kit.Connect(gear: gear with { UnitSerial = unit, Calibration = gear.Calibration! with { UnitSerial = unit } });
        await _coordinator.MustKit(new KitId(id), KitSamples.Function(passed: true));
        return kit;
    }

    private Task<SessionId> Planned(string clinician, int days) => _hub.Get<SessionSchedule>().Plan(
        new SessionPlan(
            new PersonTested("P-0001", "Ottilie Brandvold", new DateOnly(1951, 3, 4), "Trouble following talk in company"),
            "at home, kit posted",
            new DateTimeOffset(_today.AddDays(days), new TimeOnly(15, 0), TimeSpan.Zero),
            _kitId,
            clinician),
        TestContext.Current.CancellationToken);

    [Fact]
    public async Task AnOldEntryChangedFromOutsideIsFoundByTheWholeVerificationAlthoughReadingGoesOnFromWhatWasVerified()
    {
        var (store, token) = (_hub.Get<FleetFactStore>(), TestContext.Current.CancellationToken);
        Assert.Null((await Ask(_coordinator, new SetTerms(FleetTerms.Initial with { Telephone = "555-0100" }))).Refusal);
        Assert.Null((await Ask(_coordinator, new SetTerms(FleetTerms.Initial with { Telephone = "555-0101" }))).Refusal);
        Assert.Equal("555-0101", (await store.Load(token)).State.Terms.Telephone);
        await Tamper("UPDATE fleet_facts SET Payload = Payload || 'A' WHERE Sequence = 1");

        // What is shown meanwhile was made from the entry as it was when it was verified.
        Assert.True((await store.Load(token)).Integrity.Valid);
        Assert.Contains("555-0100", FleetFactCatalog.Write((await store.Load(token)).State.History[0].Fact).Payload, StringComparison.Ordinal);

        Assert.Equal(new IntegrityView(false, 1), (await store.Verify(token)).Integrity);

        // From then on everybody is told, until it is put right.
        Assert.Equal(new IntegrityView(false, 1), (await store.Load(token)).Integrity);
        await Tamper("UPDATE fleet_facts SET Payload = substr(Payload, 1, length(Payload) - 1) WHERE Sequence = 1");
        Assert.True((await store.Load(token)).Integrity.Valid);
    }

    [Theory]
    [InlineData("UPDATE fleet_facts SET Payload = Payload || 'A' WHERE Sequence = 2")]
    [InlineData("DELETE FROM fleet_facts WHERE Sequence = 2")]
    public async Task AnEntryChangedAfterTheVerifiedOnesIsFoundByReading(string tampering)
    {
        var (store, token) = (_hub.Get<FleetFactStore>(), TestContext.Current.CancellationToken);
        Assert.Null((await Ask(_coordinator, new SetTerms(FleetTerms.Initial with { Telephone = "555-0100" }))).Refusal);
        Assert.Equal(1, (await store.Load(token)).State.Version);

        // Appended without this process reading it, as another one would.
        await using (var context = await _hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(token))
        {
            var loaded = await new FleetFactStore(_hub.Get<IDbContextFactory<HubContext>>(), _hub.Get<TeleHearing.Hub.Storage.Log.IEventLog>(), _hub.Get<TeleHearing.Hub.Storage.Sealing.Seals>()).Load(token);
            Assert.True(await FleetFactWriter.Add(context, new FleetFactAppend(loaded, [new TermsWereSet(FleetTerms.Initial with { Telephone = "555-0101" }, KitSamples.Coordinator)]), _hub.Get<TeleHearing.Hub.Storage.Sealing.Seals>(), 0, token));
            await context.SaveChangesAsync(token);
        }

        await Tamper(tampering);

        Assert.Equal(new IntegrityView(false, 2), (await store.Load(token)).Integrity);
    }

    private async Task Tamper(string statement)
    {
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(_hub.DataFolder, StorageRegistration.FileName)}");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using var command = connection.CreateCommand();
        command.CommandText = statement;
        Assert.Equal(1, await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken));
    }

    private static RequestLoan Request() => new(
        LoanId.New(), [], [_today.AddDays(30)], "Mill Lane 4", FleetCalendar.Clinic, "America/Halifax", [TransducerKind.Circumaural], LoanUrgency.Ordinary, null);

    private static Task<WatchFleetReply> Watch(TestConsole console) =>
        console.Connection.InvokeAsync<WatchFleetReply>(nameof(IConsoleHub.WatchFleet), Protocol.Version, TestContext.Current.CancellationToken);

    private static Task<Receipt> Ask(TestConsole console, FleetCommand command) => console.Connection.InvokeAsync<Receipt>(
        nameof(IConsoleHub.AskFleet),
        new FleetCommandEnvelope(Protocol.Version, CommandId.New(), TimeProvider.System.GetUtcNow().AddMinutes(5), command),
        TestContext.Current.CancellationToken);

    private async Task<KitCase> OwnCase()
    {
        using var client = _kit.Http();
        return (await client.GetFromJsonAsync<KitCase>(KitCase.Path, Protocol.Json, TestContext.Current.CancellationToken))!;
    }

    private async Task<HttpResponseMessage> Paper(LoanId loan, string? person)
    {
        var cookies = person is null ? new CookieContainer() : await _hub.SignIn(person);
        using var client = new HttpClient(new HttpClientHandler { CookieContainer = cookies, AllowAutoRedirect = false }) { BaseAddress = _hub.Address };
        return await client.GetAsync(new Uri($"/papers/loan/{loan}", UriKind.Relative), TestContext.Current.CancellationToken);
    }
}
