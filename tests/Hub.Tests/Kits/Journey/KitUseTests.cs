using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Items;
using TeleHearing.Hub.Tests.Kits.Items;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Journey;

/// <summary>Sessions and their kit over real sockets: the two records cannot disagree.</summary>
public sealed class KitUseTests : IAsyncLifetime
{
    private static readonly KitId _kitId = new("kit-01");
    private static readonly DateOnly _today = DateOnly.FromDateTime(TimeProvider.System.GetLocalNow().Date);

    private RunningHub _hub = null!;
    private TestConsole _coordinator = null!;
    private TestConsole _other = null!;
    private TestConsole _clinician = null!;
    private TestKit _kit = null!;
    private string _clinicianId = null!;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start();
        _clinicianId = await _hub.Person("Maren Toft", Roles.Clinician);
        _kit = await _hub.Kit();
        _coordinator = await _hub.Console(await _hub.Person("Pella Nyström", Roles.Coordinator));
        _other = await _hub.Console(await _hub.Person("Runa Alm", Roles.Coordinator));
        _clinician = await _hub.Console(_clinicianId);
        await _kit.Connect(gear: KitSamples.Gear(_today.AddDays(-14)));
    }

    public async ValueTask DisposeAsync()
    {
        await _coordinator.DisposeAsync();
        await _other.DisposeAsync();
        await _clinician.DisposeAsync();
        await _kit.DisposeAsync();
        await _hub.DisposeAsync();
    }

    [Fact]
    public async Task ASessionTakesItsKitIntoUseAndSetsItDown()
    {
        var sessionId = await Checked();
        await _clinician.Must(new Advance());

        Assert.Equal(KitStage.InUse, (await View()).Stage);

        await _clinician.Must(new Abort("the person is tired"));

        var view = await View();
        Assert.Equal(KitStage.Available, view.Stage);
        Assert.Equal([KitHoldKind.CleaningUnsigned, KitHoldKind.DataNotWiped], view.HoldList.Select(hold => hold.Kind));
        Assert.Contains(view.Timeline, entry => entry.Text == $"Session {sessionId} is over.");
        Assert.Equal(RefusalCodes.KitHeld, (await _coordinator.SendKit(TestConsole.KitEnvelope(_kitId, Promise(LoanId.New())))).Refusal!.Code);
    }

    [Fact]
    public async Task ASessionOnLoanOpensTheParcelAndItsKitScreenPacksIt()
    {
        var loan = await SentOut();
        var sessionId = await Checked();
        await _clinician.Must(new Advance());
        Assert.Equal(KitStage.InUse, (await View()).Stage);

        Assert.Null((await _kit.Report(sessionId, new CasePacked([], [], null, "S-4412"))).Refusal);
        Assert.Equal(KitStage.InUse, (await View()).Stage);
        await _clinician.Must(new Abort("the person is tired"));

        var view = await View();
        Assert.Equal(KitStage.AwaitingReturn, view.Stage);
        Assert.Equal((loan, "S-4412"), (view.Loans[0].LoanId, view.Loans[0].ReturnSeal));
    }

    [Fact]
    public async Task ACountAtTheSiteChecksTheKitInAndABadOneIsRefusedAndHandsOn()
    {
        await _coordinator.MustKit(_kitId, new SetContents([new KitItem("TIPS", "insert tips, pair", 20, 10)]));
        Assert.Equal(RefusalCodes.LoanUnknown, (await _kit.Report(null, new CaseCounted([], null))).Refusal!.Code);
        await SentOut(new ItemCount("TIPS", 20));

        var bad = await _kit.Report(null, new CaseCounted([new ItemCount("TIPS", -1)], null));
        Assert.Equal((RefusalCodes.Invalid, 2L), (bad.Refusal!.Code, bad.AcknowledgedSequence));
        Assert.Equal(RefusalCodes.ItemUnknown, (await _kit.Report(null, new CaseCounted([new ItemCount("LAMP", 1)], null))).Refusal!.Code);
        Assert.Equal(KitStage.InTransitOut, (await View()).Stage);

        Assert.Contains("no such photo", (await _kit.Report(null, new CaseCounted([new ItemCount("TIPS", 18)], "photo-1"))).Refusal!.Sentence, StringComparison.Ordinal);
        Assert.Equal(KitStage.InTransitOut, (await View()).Stage);
        var photo = (await _hub.Get<PhotoStore>().Keep(_kitId, SamplePictures.Jpeg("", 1), TestContext.Current.CancellationToken)).Photo;
        Assert.Null((await _kit.Report(null, new CaseCounted([new ItemCount("TIPS", 18)], photo))).Refusal);

        var view = await View();
        Assert.Equal(KitStage.CheckedInAtSite, view.Stage);
        Assert.Equal((CountOccasion.CheckedIn, photo, "The kit screen of kit-01"), (view.Counts[0].Occasion, view.Counts[0].Photo, view.Counts[0].By));
    }

    [Fact]
    public async Task TheNextPersonWaitsUntilTheCleaningIsSigned()
    {
        await Checked();
        await _clinician.Must(new Advance());
        await _clinician.Must(new Abort("the person is tired"));
        await _clinician.Watch(await _hub.Session(_clinicianId, reference: "P-0112"));
        await Walk.ToPassedKitCheck(_clinician, _kit);

        Assert.Equal(RefusalCodes.GateNotMet, (await _clinician.Ask(new Advance())).Refusal!.Code);
        Assert.Contains("sign it on the kit's page", _clinician.View!.Needs.Single(need => need.Code == "kit-fit").Detail, StringComparison.Ordinal);

        await _clinician.MustKit(_kitId, new SignTurnaround(KitStage.Cleaning, [.. TurnaroundLines.Of(KitStage.Cleaning, []).Select(line => new FunctionAnswer(line.Code, true))], [], null, null));
        await _clinician.Must(new Advance());
        Assert.Equal(KitStage.InUse, (await View()).Stage);
    }

    [Fact]
    public async Task PhotosAndStepsThatAreNotThereAreRefusedInWords()
    {
        var foreign = (await _hub.Get<PhotoStore>().Keep(new KitId("kit-02"), SamplePictures.Jpeg("", 1), TestContext.Current.CancellationToken)).Photo;
        var loan = LoanId.New();
        await _coordinator.MustKit(_kitId, Promise(loan));
        foreach (var photo in new[] { "photo-1", "../kits", foreign })
        {
            var refused = await _coordinator.SendKit(TestConsole.KitEnvelope(_kitId, new PackKit(loan, [], photo, null)));
            Assert.Contains("no such photo", refused.Refusal!.Sentence, StringComparison.Ordinal);
        }

        await _coordinator.MustKit(_kitId, new SignLoanPaper(loan, "Edda Sorrel"));
        await _coordinator.MustKit(_kitId, new PackKit(loan, [], null, null));
        await _coordinator.MustKit(_kitId, new SendKit(loan, "RX 1234", _today, EntryMeans.Typed));
        var step = await _coordinator.SendKit(TestConsole.KitEnvelope(_kitId, new TakeReminderStep(loan, "shout", null)));
        Assert.Contains("no such step", step.Refusal!.Sentence, StringComparison.Ordinal);
        Assert.Contains(FleetTerms.Initial.Ladder[0].Code, step.Refusal.Remedy, StringComparison.Ordinal);
        await _coordinator.MustKit(_kitId, new TakeReminderStep(loan, FleetTerms.Initial.Ladder[0].Code, null));
    }

    [Fact]
    public async Task AKitThatIsHeldOrElsewhereByItsRecordStartsNoTest()
    {
        await Checked();
        await _coordinator.MustKit(_kitId, new PlaceHold(KitHoldKind.BatterySuspect, "swollen"));
        Assert.Equal(RefusalCodes.GateNotMet, (await _clinician.Ask(new Advance())).Refusal!.Code);
        Assert.Equal(KitStage.Available, (await View()).Stage);

        await _coordinator.MustKit(_kitId, new SendToLaboratory("a laboratory", _today.AddDays(7)) { InPerson = true });
        var needs = (await _clinician.Watch(_clinician.View!.SessionId)).View!.Needs;
        Assert.Contains(needs, need => !need.Met && need.Detail is { } detail && detail.Contains("at the laboratory", StringComparison.Ordinal));
    }

    [Fact]
    public async Task OfTwoWhoReceiveAtOnceTheSecondIsToldOfTheFirst()
    {
        await SentOut();

        var receipts = await Task.WhenAll(
            _coordinator.SendKit(TestConsole.KitEnvelope(_kitId, new ReceiveKit(null, [], null, EntryMeans.Scanned))),
            _other.SendKit(TestConsole.KitEnvelope(_kitId, new ReceiveKit(null, [], null, EntryMeans.Scanned))));

        var refusal = Assert.Single(receipts, receipt => !receipt.Accepted()).Refusal!;
        var first = receipts[0].Accepted() ? "Pella Nyström" : "Runa Alm";
        Assert.StartsWith($"{first} received it already", refusal.Sentence, StringComparison.Ordinal);
        Assert.Equal(KitStage.Received, (await View()).Stage);
    }

    [Fact]
    public async Task AStolenKitLosesItsKeyAndItsLinkAndAnIncidentIsOpened()
    {
        var loan = await SentOut();
        await View();

        await _coordinator.MustKit(_kitId, new ReportKitGone(true, "taken from the porch", true));

        Assert.Equal("The kit was reported stolen.", await _kit.Revoked.Task.WaitAsync(TestContext.Current.CancellationToken));
        var view = await _coordinator.UntilKit(now => !now.Online);
        Assert.Equal(KitStage.Stolen, view.Stage);
        Assert.False(Assert.Single((await _coordinator.WatchBoard()).Kits).Enrolled);
        await using var again = _kit.Build();
        await Assert.ThrowsAsync<HttpRequestException>(() => again.StartAsync(TestContext.Current.CancellationToken));
        var fleet = await _hub.Get<Hub.Fleet.FleetFacts>().Read(TestContext.Current.CancellationToken);
        var incident = Assert.Single(fleet.Incidents);
        Assert.Equal((IncidentKind.Stolen, _kitId, loan, true), (incident.Kind, incident.KitId, incident.LoanId, incident.MayHoldData));
    }

    [Fact]
    public async Task OnlyThoseWhoAnswerForTheKitsTakeThemInAndOutOfServiceAndLiftHolds()
    {
        await _coordinator.MustKit(_kitId, new PlaceHold(KitHoldKind.SafetyNotice, "the maker warns"));

        Assert.Equal(RefusalCodes.RoleNotAllowed, (await _clinician.SendKit(TestConsole.KitEnvelope(_kitId, new LiftHold(KitHoldKind.SafetyNotice, "seen to")))).Refusal!.Code);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await _clinician.SendKit(TestConsole.KitEnvelope(_kitId, new RetireKit("broken")))).Refusal!.Code);
        await _clinician.MustKit(_kitId, new PlaceHold(KitHoldKind.BatterySuspect, "swollen"));
        await _coordinator.MustKit(_kitId, new LiftHold(KitHoldKind.SafetyNotice, "seen to"));
        await _coordinator.MustKit(_kitId, new RetireKit("broken"));
        var retired = (await View()).Version;
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await _clinician.SendKit(TestConsole.KitEnvelope(_kitId, new CorrectEntry(retired, true, "a slip")))).Refusal!.Code);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await _clinician.SendKit(TestConsole.KitEnvelope(_kitId, new CallOffLoan(LoanId.New(), "not needed")))).Refusal!.Code);
        await _coordinator.MustKit(_kitId, new CorrectEntry(retired, true, "a slip"));
        Assert.Equal(KitStage.Available, (await View()).Stage);
    }

    private static ReserveKit Promise(LoanId loan) => new(loan, _today, _today.AddDays(10), _today.AddDays(12), "Mill Lane 4");

    private async Task<LoanId> SentOut(params IReadOnlyList<ItemCount> counts)
    {
        var loan = LoanId.New();
        await _coordinator.MustKit(_kitId, Promise(loan));
        await _coordinator.MustKit(_kitId, new SignLoanPaper(loan, "Edda Sorrel"));
        await _coordinator.MustKit(_kitId, new PackKit(loan, counts, null, null));
        await _coordinator.MustKit(_kitId, new SendKit(loan, "RX 1234", _today, EntryMeans.Typed));
        return loan;
    }

    private async Task<SessionId> Checked()
    {
        var sessionId = await _hub.Session(_clinicianId);
        await _clinician.Watch(sessionId);
        await Walk.ToPassedKitCheck(_clinician, _kit);
        return sessionId;
    }

    private async Task<KitView> View() => (await _coordinator.WatchKit(_kitId)).View!;
}
