using Microsoft.Data.Sqlite;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits;

/// <summary>A kit's page over real sockets: who may read and record, what is refused, what survives.</summary>
public sealed class KitPageTests : IAsyncLifetime
{
    private static readonly KitId _kitId = new("kit-01");
    private static readonly DateOnly _today = DateOnly.FromDateTime(TimeProvider.System.GetLocalNow().Date);

    private RunningHub _hub = null!;
    private TestConsole _coordinator = null!;
    private TestConsole _clinician = null!;
    private TestKit _kit = null!;
    private string _clinicianId = null!;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start();
        _clinicianId = await _hub.Person("Maren Toft", Roles.Clinician);
        _kit = await _hub.Kit();
        _coordinator = await _hub.Console(await _hub.Person("Pella Nyström", Roles.Coordinator));
        _clinician = await _hub.Console(_clinicianId);
    }

    public async ValueTask DisposeAsync()
    {
        await _coordinator.DisposeAsync();
        await _clinician.DisposeAsync();
        await _kit.DisposeAsync();
        await _hub.DisposeAsync();
    }

    [Fact]
    public async Task AKitTellsItsCalibrationWithHelloAndTheBoardShowsHowLongItHolds()
    {
        await _kit.Connect(gear: KitSamples.Gear(_today.AddDays(-14)));

        var row = Assert.Single((await _coordinator.WatchBoard()).Kits);

        Assert.Equal(_today.AddDays(-14).AddMonths(3), row.CalibratedUntil);
        Assert.Equal(CalibrationStanding.Holds, row.Calibration);
        Assert.Empty(row.Holds!);
        var view = (await _coordinator.WatchKit(_kitId)).View!;
        Assert.True(view.Online);
        Assert.Equal("INV-3391", view.Calibration!.Record.CertificateId);
        await _kit.Connect(gear: KitSamples.Gear(_today.AddDays(-14)));
        Assert.Equal(view.Version, (await _coordinator.WatchKit(_kitId)).View!.Version);
    }

    [Fact]
    public async Task AKitOfAnOlderAgentIsServedAndItsCalibrationNotKnown()
    {
        var welcome = await _kit.Connect();

        Assert.Null(welcome.Refusal);
        Assert.Null((await _coordinator.WatchKit(_kitId)).View!.Calibration);
    }

    [Fact]
    public async Task GearThatCannotBeTrueIsRefusedAtHello()
    {
        var gear = KitSamples.Gear(_today);

        var welcome = await _kit.Connect(gear: gear with { UnitSerial = " ", Calibration = gear.Calibration! with { Entries = [new(Ear.Left, 1000, double.NaN, 60)] } });

        Assert.Equal(RefusalCodes.Invalid, welcome.Refusal!.Code);
        Assert.Equal(0, (await _coordinator.WatchKit(_kitId)).View!.Version);
    }

    [Fact]
    public async Task WhatIsRecordedReachesEveryoneWhoWatchesAndStaysAfterARestart()
    {
        await _kit.Connect(gear: KitSamples.Gear(_today.AddDays(-14)));
        await _clinician.WatchKit(_kitId);

        await _coordinator.MustKit(_kitId, new RecordBaseline("E1", KitSamples.Levels(5)));
        await _coordinator.MustKit(_kitId, new RecordKnownEar("E1", KitSamples.Levels(20)));

        var told = await _clinician.UntilKit(view => view.KnownEar.Checks.Count == 1);
        Assert.Equal(KnownEarVerdict.ExhaustiveNeeded, told.KnownEar.Checks[0].Verdict);
        Assert.Equal("Pella Nyström", told.KnownEar.Checks[0].By);
        var store = _hub.Get<KitFactStore>();
        var again = (await new KitFactStore(_hub.Get<Microsoft.EntityFrameworkCore.IDbContextFactory<HubContext>>()).Load(_kitId, TestContext.Current.CancellationToken))!;
        Assert.True(again.Integrity.Valid);
        Assert.Equal((await store.Load(_kitId, TestContext.Current.CancellationToken))!.State.Version, again.State.Version);
        Assert.Equal(told.Version, again.State.Version);
    }

    [Fact]
    public async Task OneCommandIdIsRecordedOnce()
    {
        var envelope = TestConsole.KitEnvelope(_kitId, new RecordMove("Hill clinic", 93.6, null));

        var receipts = await Task.WhenAll(_coordinator.SendKit(envelope), _coordinator.SendKit(envelope), _coordinator.SendKit(envelope));

        Assert.All(receipts, receipt => Assert.True(receipt.Accepted()));
        Assert.Equal(1, (await _coordinator.WatchKit(_kitId)).View!.Version);
        Assert.Equal(RefusalCodes.Duplicate, (await _coordinator.SendKit(envelope with { Command = new RecordMove("elsewhere", null, null) })).Refusal!.Code);
        Assert.Equal("Hill clinic", Assert.Single((await _coordinator.WatchBoard()).Kits).Where);
    }

    [Fact]
    public async Task ManyAtOnceAreAllRecordedWithoutAGap()
    {
        var receipts = await Task.WhenAll(Enumerable.Range(0, 12).Select(number => (number % 2 == 0 ? _coordinator : _clinician).SendKit(TestConsole.KitEnvelope(_kitId, new RecordMove($"place {number}", null, null)))));

        Assert.All(receipts, receipt => Assert.Null(receipt.Refusal));
        var view = (await _coordinator.WatchKit(_kitId)).View!;
        Assert.Equal(12, view.Version);
        Assert.True(view.Integrity.Valid);
    }

    public static TheoryData<KitCommand, string> Bad => new()
    {
        { new RecordBaseline("Maren Toft", KitSamples.Levels(5)), "never a name" },
        { new RecordBaseline("E1", KitSamples.Levels(30)), "Choose another person" },
        { new RecordBaseline("E1", [new KnownEarLevel(Ear.Left, 1000, double.NaN)]), "must be a level" },
        { new RecordKnownEar("E1", []), "No levels" },
        { new RecordKnownEar("E1", [.. KitSamples.Levels(5), new KnownEarLevel(Ear.Left, 1234, 5)]), "not an ear and audiometric frequency" },
        { new RecordFunctionCheck([], null), "needs one answer" },
        { KitSamples.Function(passed: false) with { Note = " " }, "Say what was heard" },
        { new RecordMove("", null, null), "The place is missing" },
        { new RecordMove("Hill clinic", 1013, null), "hPa" },
        { new RecordMove("Hill clinic", 101, 200), "not both" },
        { new ReserveKit(LoanId.New(), _today, _today.AddDays(-1), _today, "Mill Lane 4"), "ends before it begins" },
        { new ReserveKit(LoanId.New(), DateOnly.MinValue, DateOnly.MaxValue, DateOnly.MaxValue, "Mill Lane 4"), "longer than" },
        { new ReserveKit(default, _today, _today, _today.AddDays(-1), ""), "names no loan" },
        { new PlaceHold(KitHoldKind.CheckFailed, "heard on both sides"), "Only these are placed and lifted by hand" },
        { new CountKit([new ItemCount("A", 1), new ItemCount("A", 2)], null), "counted twice" },
        { new CountKit([new ItemCount("A", -1)], null), "below 0" },
        { new SetContents([new KitItem("A", "tips", 5, 6)]), "the count it is sent with" },
        { new RecordCarrier(LoanId.New(), CarrierStatus.Arrived, CarrierReason.None, null, default, EntryMeans.Typed, new ParcelReadings(double.NaN, 20, null)), "not plausible" },
        { new SignTurnaround(KitStage.FunctionCheck, [], [], null, null), "Only cleaning, inspection and filling up" },
        { new SignTurnaround(KitStage.Inspection, [new FunctionAnswer("inspect-whole", false)], [], null, " "), "Say what was found" },
    };

    [Theory]
    [MemberData(nameof(Bad))]
    public async Task WhatCannotBeTrueIsRefusedWithClearWordsAndRecordedNowhere(KitCommand command, string words)
    {
        var receipt = await _coordinator.SendKit(TestConsole.KitEnvelope(_kitId, command));

        Assert.Equal(RefusalCodes.Invalid, receipt.Refusal!.Code);
        Assert.Contains(words, receipt.Refusal.Sentence, StringComparison.Ordinal);
        Assert.Equal(0, (await _coordinator.WatchKit(_kitId)).View!.Version);
    }

    [Fact]
    public async Task ALateCommandAnUnknownKitAndAnotherVersionAreRefused()
    {
        var command = new RecordMove("Hill clinic", null, null);
        Assert.Equal(RefusalCodes.Expired, (await _coordinator.SendKit(TestConsole.KitEnvelope(_kitId, command) with { ExpiresAt = default })).Refusal!.Code);
        Assert.Equal(RefusalCodes.KitUnknown, (await _coordinator.SendKit(TestConsole.KitEnvelope(new KitId("kit-99"), command))).Refusal!.Code);
        Assert.Equal(RefusalCodes.ProtocolVersion, (await _coordinator.SendKit(TestConsole.KitEnvelope(_kitId, command) with { ProtocolVersion = 99 })).Refusal!.Code);
        Assert.Equal(RefusalCodes.KitUnknown, (await _coordinator.WatchKit(new KitId("kit-99"))).Refusal!.Code);
        Assert.Equal(0, (await _coordinator.WatchKit(_kitId)).View!.Version);
    }

    [Fact]
    public async Task ACoordinatorSeesTheListOfSessionsAndAClinicianReviewsThem()
    {
        var session = await _hub.Session(_clinicianId);
        await _clinician.Watch(session);
        await _kit.Connect(gear: KitSamples.Gear(_today.AddDays(-14)));
        await Walk.ToTesting(_clinician, _kit);
        Assert.NotNull((await _coordinator.WatchKit(_kitId)).View!.SidesProven);

        await _coordinator.MustKit(_kitId, KitSamples.Function(passed: false));

        var list = Assert.Single((await _coordinator.WatchKit(_kitId)).View!.LookBacks);
        Assert.Equal((session, SessionStage.Testing), (list.Sessions[0].SessionId, list.Sessions[0].Stage));
        var review = new ReviewSession(list.Number, session, "Repeated at 1000 Hz, unchanged.");
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await _coordinator.SendKit(TestConsole.KitEnvelope(_kitId, review))).Refusal!.Code);
        await _clinician.MustKit(_kitId, review);
        Assert.Equal(0, (await _coordinator.WatchKit(_kitId)).View!.LookBacks[0].Waiting());
    }

    [Fact]
    public async Task TheNoteOfAReviewedSessionIsForThoseWhoMaySeeSessionsHoweverTheyAreTold()
    {
        const string Note = "Repeated at 1000 Hz, 20 dB worse.";
        await using var owner = await _hub.Console(await _hub.Person("Ilse Brandt", Roles.Owner));
        var session = await _hub.Session(_clinicianId);
        await _clinician.Watch(session);
        await _kit.Connect(gear: KitSamples.Gear(_today.AddDays(-14)));
        await Walk.ToTesting(_clinician, _kit);
        await _coordinator.MustKit(_kitId, KitSamples.Function(passed: false));
        var list = (await _coordinator.WatchKit(_kitId)).View!.LookBacks[0];
        await _clinician.WatchKit(_kitId);

        await _clinician.MustKit(_kitId, new ReviewSession(list.Number, session, Note));

        static bool Reviewed(KitView view) => view.LookBacks is [{ Sessions: [{ ReviewedAt: not null }] }];
        static LookBackRow Row(KitView view) => view.LookBacks[0].Sessions[0];
        Assert.Equal(Note, Row(await _clinician.UntilKit(Reviewed)).Note);
        Assert.Equal(Note, Row((await owner.WatchKit(_kitId)).View!).Note);
        foreach (var told in new[] { await _coordinator.UntilKit(Reviewed), (await _coordinator.WatchKit(_kitId)).View! })
        {
            Assert.Equal((null, "Maren Toft", SessionStage.Testing), (Row(told).Note, Row(told).ReviewedBy, Row(told).Stage));
            Assert.DoesNotContain(Note, System.Text.Json.JsonSerializer.Serialize(told, Protocol.Json), StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task AKitWithAFailedCheckDoesNotPassTheGateOfItsCheck()
    {
        var session = await _hub.Session(_clinicianId);
        await _clinician.Watch(session);
        await _kit.Connect(gear: KitSamples.Gear(_today.AddDays(-14)));
        await _coordinator.MustKit(_kitId, KitSamples.Function(passed: false));
        await Walk.ToPassedKitCheck(_clinician, _kit);

        var refused = await _clinician.Ask(new Advance());

        Assert.Equal(RefusalCodes.GateNotMet, refused.Refusal!.Code);
        await _coordinator.MustKit(_kitId, KitSamples.Function(passed: true));
        await _clinician.Must(new Advance());
    }

    [Theory]
    [InlineData("DELETE FROM kit_facts WHERE Sequence >= 2", 2)]
    [InlineData("UPDATE kit_facts SET Payload = replace(Payload, 'false', 'true') WHERE Sequence = 2", 2)]
    [InlineData("UPDATE kit_facts SET Kind = 'kit.unheard-of' WHERE Sequence = 2", 2)]
    public async Task AFailedCheckTakenAwayFromOutsideDoesNotOpenTheGate(string tampering, int brokenAt)
    {
        var session = await _hub.Session(_clinicianId);
        await _clinician.Watch(session);
        await _kit.Connect(gear: KitSamples.Gear(_today.AddDays(-14)));
        await _coordinator.MustKit(_kitId, KitSamples.Function(passed: false));
        await Tamper(tampering);
        await Walk.ToPassedKitCheck(_clinician, _kit);

        var refused = await _clinician.Ask(new Advance());

        Assert.Equal(RefusalCodes.GateNotMet, refused.Refusal!.Code);
        Assert.Contains($"changed from outside at entry {brokenAt}", _clinician.View!.Needs.Single(need => need.Code == "kit-fit").Detail, StringComparison.Ordinal);
        Assert.Contains((await _coordinator.WatchKit(_kitId)).View!.Holds, sentence => sentence.Contains("changed from outside", StringComparison.Ordinal));
    }

    [Fact]
    public async Task FactsChangedWhileTheHubRunsAreSeenByTheGateThoughItKnewTheKit()
    {
        var session = await _hub.Session(_clinicianId);
        await _clinician.Watch(session);
        await _kit.Connect(gear: KitSamples.Gear(_today.AddDays(-14)));
        await Walk.ToPassedKitCheck(_clinician, _kit);
        Assert.Empty(Assert.Single((await _coordinator.WatchBoard()).Kits).Holds!);
        await Tamper("UPDATE kit_facts SET Payload = replace(Payload, 'CE-2207', 'CE-2208') WHERE Sequence = 1");

        Assert.Equal(RefusalCodes.GateNotMet, (await _clinician.Ask(new Advance())).Refusal!.Code);
    }

    [Fact]
    public async Task FactsChangedFromOutsideAreSeenAndNothingIsAdded()
    {
        await _coordinator.MustKit(_kitId, new RecordMove("Hill clinic", null, null));
        await _coordinator.MustKit(_kitId, new RecordMove("office", null, null));
        await Tamper("UPDATE kit_facts SET Payload = replace(Payload, 'Hill', 'Dale') WHERE Sequence = 1");

        var receipt = await _coordinator.SendKit(TestConsole.KitEnvelope(_kitId, new RecordMove("again", null, null)));

        Assert.Equal(RefusalCodes.KitDamaged, receipt.Refusal!.Code);
        var view = (await _coordinator.WatchKit(_kitId)).View!;
        Assert.Equal(new IntegrityView(false, 1), view.Integrity);
        Assert.All(view.Moves, move => Assert.False(move.Allowed));
        Assert.Null((await _kit.Connect(gear: KitSamples.Gear(_today))).Refusal);
    }

    private async Task Tamper(string sql)
    {
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(_hub.DataFolder, StorageRegistration.FileName)}");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        Assert.True(await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken) > 0);
    }
}
