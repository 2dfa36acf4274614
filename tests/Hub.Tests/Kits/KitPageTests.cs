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
    private KitInCare _care = null!;

    public async ValueTask InitializeAsync() => _care = await KitInCare.Start();

    public ValueTask DisposeAsync() => _care.DisposeAsync();

    [Fact]
    public async Task AKitTellsItsCalibrationWithHelloAndTheBoardShowsHowLongItHolds()
    {
        await _care.Kit.Connect(gear: KitSamples.Gear(KitInCare.Today.AddDays(-14)));

        var row = Assert.Single((await _care.Coordinator.WatchBoard()).Kits);

        Assert.Equal(KitInCare.Today.AddDays(-14).AddMonths(3), row.CalibratedUntil);
        Assert.Equal(CalibrationStanding.Holds, row.Calibration);
        Assert.Empty(row.Holds!);
        var view = (await _care.Coordinator.WatchKit(KitInCare.KitId)).View!;
        Assert.True(view.Online);
        Assert.Equal("INV-3391", view.Calibration!.Record.CertificateId);
        await _care.Kit.Connect(gear: KitSamples.Gear(KitInCare.Today.AddDays(-14)));
        Assert.Equal(view.Version, (await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.Version);
    }

    [Fact]
    public async Task AKitOfAnOlderAgentIsServedAndItsCalibrationNotKnown()
    {
        var welcome = await _care.Kit.Connect();

        Assert.Null(welcome.Refusal);
        Assert.Null((await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.Calibration);
    }

    [Fact]
    public async Task GearThatCannotBeTrueIsRefusedAtHello()
    {
        var gear = KitSamples.Gear(KitInCare.Today);

        var welcome = await _care.Kit.Connect(gear: gear with { UnitSerial = " ", Calibration = gear.Calibration! with { Entries = [new(Ear.Left, 1000, double.NaN, 60)] } });

        Assert.Equal(RefusalCodes.Invalid, welcome.Refusal!.Code);
        Assert.Equal(0, (await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.Version);
    }

    [Fact]
    public async Task WhatIsRecordedReachesEveryoneWhoWatchesAndStaysAfterARestart()
    {
        await _care.Kit.Connect(gear: KitSamples.Gear(KitInCare.Today.AddDays(-14)));
        await _care.Clinician.WatchKit(KitInCare.KitId);

        await _care.Coordinator.MustKit(KitInCare.KitId, new RecordBaseline("E1", KitSamples.Levels(5)));
        await _care.Coordinator.MustKit(KitInCare.KitId, new RecordKnownEar("E1", KitSamples.Levels(20)));

        var told = await _care.Clinician.UntilKit(view => view.KnownEar.Checks.Count == 1);
        Assert.Equal(KnownEarVerdict.ExhaustiveNeeded, told.KnownEar.Checks[0].Verdict);
        Assert.Equal("Pella Nyström", told.KnownEar.Checks[0].By);
        var store = _care.Hub.Get<KitFactStore>();
        var again = (await new KitFactStore(_care.Hub.Get<Microsoft.EntityFrameworkCore.IDbContextFactory<HubContext>>(), _care.Hub.Get<TeleHearing.Hub.Storage.Log.IEventLog>(), _care.Hub.Get<TeleHearing.Hub.Storage.Sealing.Seals>()).Load(KitInCare.KitId, TestContext.Current.CancellationToken))!;
        Assert.True(again.Integrity.Valid);
        Assert.Equal((await store.Load(KitInCare.KitId, TestContext.Current.CancellationToken))!.State.Version, again.State.Version);
        Assert.Equal(told.Version, again.State.Version);
    }

    [Fact]
    public async Task OneCommandIdIsRecordedOnce()
    {
        var envelope = TestConsole.KitEnvelope(KitInCare.KitId, new RecordMove("Hill clinic", 93.6, null));

        var receipts = await Task.WhenAll(_care.Coordinator.SendKit(envelope), _care.Coordinator.SendKit(envelope), _care.Coordinator.SendKit(envelope));

        Assert.All(receipts, receipt => Assert.True(receipt.Accepted()));
        Assert.Equal(1, (await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.Version);
        Assert.Equal(RefusalCodes.Duplicate, (await _care.Coordinator.SendKit(envelope with { Command = new RecordMove("elsewhere", null, null) })).Refusal!.Code);
        Assert.Equal("Hill clinic", Assert.Single((await _care.Coordinator.WatchBoard()).Kits).Where);
    }

    [Fact]
    public async Task ManyAtOnceAreAllRecordedWithoutAGap()
    {
        var receipts = await Task.WhenAll(Enumerable.Range(0, 12).Select(number => (number % 2 == 0 ? _care.Coordinator : _care.Clinician).SendKit(TestConsole.KitEnvelope(KitInCare.KitId, new RecordMove($"place {number}", null, null)))));

        Assert.All(receipts, receipt => Assert.Null(receipt.Refusal));
        var view = (await _care.Coordinator.WatchKit(KitInCare.KitId)).View!;
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
        { new ReserveKit(LoanId.New(), KitInCare.Today, KitInCare.Today.AddDays(-1), KitInCare.Today, "Mill Lane 4"), "ends before it begins" },
        { new ReserveKit(LoanId.New(), DateOnly.MinValue, DateOnly.MaxValue, DateOnly.MaxValue, "Mill Lane 4"), "longer than" },
        { new ReserveKit(default, KitInCare.Today, KitInCare.Today, KitInCare.Today.AddDays(-1), ""), "names no loan" },
        { new PlaceHold(KitHoldKind.CheckFailed, "heard on both sides"), "Only these are placed and lifted by hand" },
        { new CountKit([new ItemCount("A", 1), new ItemCount("A", 2)], null), "counted twice" },
        { new CountKit([new ItemCount("A", -1)], null), "below 0" },
        { new SetContents([new KitItem("A", "tips", 5, 6)]), "How many must be there to send it" },
        { new RecordCarrier(LoanId.New(), CarrierStatus.Arrived, CarrierReason.None, null, default, EntryMeans.Typed, new ParcelReadings(double.NaN, 20, null)), "not plausible" },
        { new SignTurnaround(KitStage.FunctionCheck, [], [], null, null), "Only cleaning, inspection and filling up" },
        { new SignTurnaround(KitStage.Inspection, [new FunctionAnswer("inspect-whole", false)], [], null, " "), "Say what was found" },
    };

    [Theory]
    [MemberData(nameof(Bad))]
    public async Task WhatCannotBeTrueIsRefusedWithClearWordsAndRecordedNowhere(KitCommand command, string words)
    {
        var receipt = await _care.Coordinator.SendKit(TestConsole.KitEnvelope(KitInCare.KitId, command));

        Assert.Equal(RefusalCodes.Invalid, receipt.Refusal!.Code);
        Assert.Contains(words, receipt.Refusal.Sentence, StringComparison.Ordinal);
        Assert.Equal(0, (await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.Version);
    }

    [Fact]
    public async Task ALateCommandAnUnknownKitAndAnotherVersionAreRefused()
    {
        var command = new RecordMove("Hill clinic", null, null);
        Assert.Equal(RefusalCodes.Expired, (await _care.Coordinator.SendKit(TestConsole.KitEnvelope(KitInCare.KitId, command) with { ExpiresAt = default })).Refusal!.Code);
        Assert.Equal(RefusalCodes.KitUnknown, (await _care.Coordinator.SendKit(TestConsole.KitEnvelope(new KitId("kit-99"), command))).Refusal!.Code);
        Assert.Equal(RefusalCodes.ProtocolVersion, (await _care.Coordinator.SendKit(TestConsole.KitEnvelope(KitInCare.KitId, command) with { ProtocolVersion = 99 })).Refusal!.Code);
        Assert.Equal(RefusalCodes.KitUnknown, (await _care.Coordinator.WatchKit(new KitId("kit-99"))).Refusal!.Code);
        Assert.Equal(0, (await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.Version);
    }

    [Fact]
    public async Task ACoordinatorSeesTheListOfSessionsAndAClinicianReviewsThem()
    {
        var session = await _care.Hub.Session(_care.ClinicianId);
        await _care.Clinician.Watch(session);
        await _care.Kit.Connect(gear: KitSamples.Gear(KitInCare.Today.AddDays(-14)));
        await Walk.ToTesting(_care.Clinician, _care.Kit);
        Assert.NotNull((await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.SidesProven);

        await _care.Coordinator.MustKit(KitInCare.KitId, KitSamples.Function(passed: false));

        var list = Assert.Single((await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.LookBacks);
        Assert.Equal((session, SessionStage.Testing), (list.Sessions[0].SessionId, list.Sessions[0].Stage));
        var review = new ReviewSession(list.Number, session, "Repeated at 1000 Hz, unchanged.");
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await _care.Coordinator.SendKit(TestConsole.KitEnvelope(KitInCare.KitId, review))).Refusal!.Code);
        await _care.Clinician.MustKit(KitInCare.KitId, review);
        Assert.Equal(0, (await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.LookBacks[0].Waiting());
    }

    [Fact]
    public async Task TheNoteOfAReviewedSessionIsForThoseWhoMaySeeSessionsHoweverTheyAreTold()
    {
        const string Note = "Repeated at 1000 Hz, 20 dB worse.";
        await using var owner = await _care.Hub.Console(await _care.Hub.Person("Ilse Brandt", Roles.Owner));
        var session = await _care.Hub.Session(_care.ClinicianId);
        await _care.Clinician.Watch(session);
        await _care.Kit.Connect(gear: KitSamples.Gear(KitInCare.Today.AddDays(-14)));
        await Walk.ToTesting(_care.Clinician, _care.Kit);
        await _care.Coordinator.MustKit(KitInCare.KitId, KitSamples.Function(passed: false));
        var list = (await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.LookBacks[0];
        await _care.Clinician.WatchKit(KitInCare.KitId);

        await _care.Clinician.MustKit(KitInCare.KitId, new ReviewSession(list.Number, session, Note));

        static bool Reviewed(KitView view) => view.LookBacks is [{ Sessions: [{ ReviewedAt: not null }] }];
        static LookBackRow Row(KitView view) => view.LookBacks[0].Sessions[0];
        Assert.Equal(Note, Row(await _care.Clinician.UntilKit(Reviewed)).Note);
        Assert.Equal(Note, Row((await owner.WatchKit(KitInCare.KitId)).View!).Note);
        foreach (var told in new[] { await _care.Coordinator.UntilKit(Reviewed), (await _care.Coordinator.WatchKit(KitInCare.KitId)).View! })
        {
            Assert.Equal((null, "Maren Toft", SessionStage.Testing), (Row(told).Note, Row(told).ReviewedBy, Row(told).Stage));
            Assert.DoesNotContain(Note, System.Text.Json.JsonSerializer.Serialize(told, Protocol.Json), StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task AKitWithAFailedCheckDoesNotPassTheGateOfItsCheck()
    {
        var session = await _care.Hub.Session(_care.ClinicianId);
        await _care.Clinician.Watch(session);
        await _care.Kit.Connect(gear: KitSamples.Gear(KitInCare.Today.AddDays(-14)));
        await _care.Coordinator.MustKit(KitInCare.KitId, KitSamples.Function(passed: false));
        await Walk.ToPassedKitCheck(_care.Clinician, _care.Kit);

        var refused = await _care.Clinician.Ask(new Advance());

        Assert.Equal(RefusalCodes.GateNotMet, refused.Refusal!.Code);
        await _care.Coordinator.MustKit(KitInCare.KitId, KitSamples.Function(passed: true));
        await _care.Clinician.Must(new Advance());
    }

    [Theory]
    [InlineData("DELETE FROM kit_facts WHERE Sequence >= 2", 2)]
    [InlineData("UPDATE kit_facts SET Payload = Payload || 'A' WHERE Sequence = 2", 2)]
    [InlineData("UPDATE kit_facts SET Kind = 'kit.unheard-of' WHERE Sequence = 2", 2)]
    public async Task AFailedCheckTakenAwayFromOutsideDoesNotOpenTheGate(string tampering, int brokenAt)
    {
        var session = await _care.Hub.Session(_care.ClinicianId);
        await _care.Clinician.Watch(session);
        await _care.Kit.Connect(gear: KitSamples.Gear(KitInCare.Today.AddDays(-14)));
        await _care.Coordinator.MustKit(KitInCare.KitId, KitSamples.Function(passed: false));
        await Tamper(tampering);
        await Walk.ToPassedKitCheck(_care.Clinician, _care.Kit);

        var refused = await _care.Clinician.Ask(new Advance());

        Assert.Equal(RefusalCodes.GateNotMet, refused.Refusal!.Code);
        Assert.Contains($"changed from outside at entry {brokenAt}", _care.Clinician.View!.Needs.Single(need => need.Code == "kit-fit").Detail, StringComparison.Ordinal);
        Assert.Contains((await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.Holds, sentence => sentence.Contains("changed from outside", StringComparison.Ordinal));
    }

    [Fact]
    public async Task FactsChangedWhileTheHubRunsAreSeenByTheGateThoughItKnewTheKit()
    {
        var session = await _care.Hub.Session(_care.ClinicianId);
        await _care.Clinician.Watch(session);
        await _care.Kit.Connect(gear: KitSamples.Gear(KitInCare.Today.AddDays(-14)));
        await Walk.ToPassedKitCheck(_care.Clinician, _care.Kit);
        Assert.Empty(Assert.Single((await _care.Coordinator.WatchBoard()).Kits).Holds!);
        await Tamper("UPDATE kit_facts SET Payload = Payload || 'A' WHERE Sequence = 1");

        Assert.Equal(RefusalCodes.GateNotMet, (await _care.Clinician.Ask(new Advance())).Refusal!.Code);
    }

    [Fact]
    public async Task FactsChangedFromOutsideAreSeenAndNothingIsAdded()
    {
        await _care.Coordinator.MustKit(KitInCare.KitId, new RecordMove("Hill clinic", null, null));
        await _care.Coordinator.MustKit(KitInCare.KitId, new RecordMove("office", null, null));
        await Tamper("UPDATE kit_facts SET Payload = Payload || 'A' WHERE Sequence = 1");

        var receipt = await _care.Coordinator.SendKit(TestConsole.KitEnvelope(KitInCare.KitId, new RecordMove("again", null, null)));

        Assert.Equal(RefusalCodes.KitDamaged, receipt.Refusal!.Code);
        var view = (await _care.Coordinator.WatchKit(KitInCare.KitId)).View!;
        Assert.Equal(new IntegrityView(false, 1), view.Integrity);
        Assert.All(view.Moves, move => Assert.Equal(move.Name == "report-kit-gone", move.Allowed));
        Assert.Null((await _care.Kit.Connect(gear: KitSamples.Gear(KitInCare.Today))).Refusal);
    }

    [Fact]
    public async Task AStolenKitLosesItsKeyThoughItsFactsWereChangedFromOutside()
    {
        await _care.Kit.Connect(gear: KitSamples.Gear(KitInCare.Today.AddDays(-14)));
        await _care.Coordinator.MustKit(KitInCare.KitId, new RecordMove("Hill clinic", null, null));
        await _care.Coordinator.MustKit(KitInCare.KitId, new RecordMove("office", null, null));
        await Tamper("UPDATE kit_facts SET Payload = Payload || 'A' WHERE Sequence = 2");
        var envelope = TestConsole.KitEnvelope(KitInCare.KitId, new ReportKitGone(true, "taken from the porch", true));

        var receipt = await _care.Coordinator.SendKit(envelope);

        Assert.Equal(RefusalCodes.KitDamaged, receipt.Refusal!.Code);
        Assert.Contains("Its key is taken away, its link is closed, and the incident is on record.", receipt.Refusal.Sentence, StringComparison.Ordinal);
        Assert.Equal("The kit was reported stolen.", await _care.Kit.Revoked.Task.WaitAsync(TestContext.Current.CancellationToken));
        Assert.False(Assert.Single((await _care.Coordinator.WatchBoard()).Kits).Enrolled);
        await using var again = _care.Kit.Build();
        await Assert.ThrowsAsync<HttpRequestException>(() => again.StartAsync(TestContext.Current.CancellationToken));
        Assert.Equal(receipt, await _care.Coordinator.SendKit(envelope));
        var incident = Assert.Single((await _care.Hub.Get<Hub.Fleet.FleetFacts>().Read(TestContext.Current.CancellationToken)).Incidents);
        Assert.Equal((IncidentKind.Stolen, KitInCare.KitId), (incident.Kind, incident.KitId));
        Assert.Equal(3, (await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.Version);
    }

    private async Task Tamper(string sql)
    {
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(_care.Hub.DataFolder, StorageRegistration.FileName)}");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        Assert.True(await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken) > 0);
    }
}
