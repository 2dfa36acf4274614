using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Logistics.Labels;

namespace TeleHearing.Hub.Tests.Exchange;

/// <summary>What events of a carrier come to with a kit that is on its way.</summary>
public sealed class EpcisIntakeTests
{
    private readonly PureKit _kit = new();
    private FleetState _fleet = FleetState.Empty;

    public EpcisIntakeTests()
    {
        _kit.Happen(
        [
            new KitReserved(EpcisSamples.Loan, _kit.Today, _kit.Today.AddDays(9), _kit.Today.AddDays(12), "Mill Lane 4", KitSamples.Coordinator),
            new KitPacked(EpcisSamples.Loan, [], null, null, KitSamples.Coordinator),
            new KitSent(EpcisSamples.Loan, KitLeg.Out, null, _kit.Today, EntryMeans.Scanned, KitSamples.Coordinator),
        ]);
        _kit.Now = _kit.Now.AddDays(2);
    }

    [Fact]
    public void ADeliveryMovesTheKitAsIfItHadBeenTyped()
    {
        var taken = Take(Event("urn:uuid:1", CarrierStatus.Delivered));

        Assert.Equal(EpcisOutcome.Taken, Assert.Single(taken.Lines).Outcome);
        var said = Assert.IsType<CarrierSaid>(_kit.State.History[^1].Fact);
        Assert.Equal((EntryMeans.Reported, "urn:uuid:1"), (said.Means, said.EventId));
        Assert.Equal(KitStage.Delivered, _kit.State.Stage);
    }

    [Fact]
    public void TheOrderOfADocumentDoesNotMatterAndTheSameEventTwiceIsOne()
    {
        var taken = Take(
            Event("urn:uuid:2", CarrierStatus.Delivered, hoursAgo: 1, place: 1),
            Event("urn:uuid:1", CarrierStatus.Departed, hoursAgo: 5, place: 2),
            Event("urn:uuid:2", CarrierStatus.Delivered, hoursAgo: 1, place: 3));

        Assert.Equal([EpcisOutcome.Taken, EpcisOutcome.Taken, EpcisOutcome.KnownAlready], taken.Lines.Select(line => line.Outcome));
        Assert.Equal([CarrierStatus.Departed, CarrierStatus.Delivered], _kit.State.History.Select(entry => entry.Fact).OfType<CarrierSaid>().Select(said => said.Status));
        Assert.All(Take(Event("urn:uuid:1", CarrierStatus.Departed, hoursAgo: 5)).Lines, line => Assert.Equal(EpcisOutcome.KnownAlready, line.Outcome));
    }

    [Fact]
    public void AnUnknownKitIsKeptAsideOnce()
    {
        var strange = Event("urn:uuid:9", CarrierStatus.Delivered) with { About = ["https://id.example.org/8003/09506000134352K07"] };

        var first = Take(strange);
        var second = Take(strange);

        Assert.Equal("https://id.example.org/8003/09506000134352K07", Assert.IsType<ForeignEventKept>(Assert.Single(first.FleetFacts)).About);
        Assert.Equal(EpcisOutcome.KeptAside, first.Lines[0].Outcome);
        Assert.Empty(second.FleetFacts);
        Assert.Equal(EpcisOutcome.KnownAlready, second.Lines[0].Outcome);
    }

    [Fact]
    public void AnEventThatWaitedAsideIsTakenOnceItFits()
    {
        _kit.Happen([new KitReceived(EpcisSamples.Loan, null, [], null, EntryMeans.Typed, KitSamples.Coordinator)]);
        var early = Event("urn:uuid:5", CarrierStatus.Departed);
        Assert.Equal(EpcisOutcome.KeptAside, Take(early).Lines[0].Outcome);

        var loan = LoanId.New();
        _kit.Happen([new KitReserved(loan, _kit.Today, _kit.Today.AddDays(9), _kit.Today.AddDays(12), "Hill 2", KitSamples.Coordinator), new KitPacked(loan, [], null, null, KitSamples.Coordinator), new KitSent(loan, KitLeg.Out, null, _kit.Today, EntryMeans.Typed, KitSamples.Coordinator)]);

        Assert.Equal(EpcisOutcome.Taken, Take(early).Lines[0].Outcome);
    }

    [Fact]
    public void WhatTheDeciderRefusesIsKeptAsideWithItsWords()
    {
        var taken = Take(Event("urn:uuid:7", CarrierStatus.Departed, hoursAgo: -5));

        Assert.Empty(taken.KitFacts);
        Assert.Contains("has not come", Assert.Single(taken.Lines).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void ADeclarationThatAnEventIsWrongCorrectsItsEntryOnce()
    {
        Take(Event("urn:uuid:1", CarrierStatus.Delivered));

        var corrected = Take(Event("urn:uuid:1", CarrierStatus.Delivered) with { DeclaredWrong = true });
        var again = Take(Event("urn:uuid:1", CarrierStatus.Delivered) with { DeclaredWrong = true });

        Assert.Equal(EpcisOutcome.Corrected, corrected.Lines[0].Outcome);
        Assert.True(Assert.IsType<EntryCorrected>(_kit.State.History[^1].Fact).DidNotOccur);
        Assert.Equal(KitStage.InTransitOut, _kit.State.Stage);
        Assert.Equal(EpcisOutcome.KnownAlready, again.Lines[0].Outcome);
    }

    [Fact]
    public void ADeclarationMayComeBeforeItsEventInTheDocument()
    {
        var taken = Take(Event("urn:uuid:1", CarrierStatus.Delivered, place: 1) with { DeclaredWrong = true }, Event("urn:uuid:1", CarrierStatus.Delivered, place: 2));

        Assert.Equal([EpcisOutcome.Corrected, EpcisOutcome.Taken], taken.Lines.Select(line => line.Outcome));
        Assert.Equal(KitStage.InTransitOut, _kit.State.Stage);
    }

    [Fact]
    public void ADeclarationAboutNothingKnownIsKeptAside() =>
        Assert.Equal(EpcisOutcome.KeptAside, Take(Event("urn:uuid:77", CarrierStatus.Delivered) with { DeclaredWrong = false }).Lines[0].Outcome);

    [Fact]
    public void OurOwnHistoryComingBackChangesNothing()
    {
        var own = EpcisDocumentReader.Read(System.Text.Encoding.UTF8.GetBytes(EpcisWriter.Document(Own(), _kit.Now)));

        var taken = Take([.. own.Events]);

        Assert.NotEmpty(taken.Lines);
        Assert.All(taken.Lines, line => Assert.Equal(EpcisOutcome.KnownAlready, line.Outcome));
        Assert.Empty(taken.KitFacts);
        Assert.Empty(taken.FleetFacts);
    }

    [Fact]
    public void AKitIsKnownByItsIdOrByTheLabelOnItsCaseAndByNothingElse()
    {
        KitId[] kits = [new("kit-01"), new("kit-02")];
        var named = new EpcisKitIds(new EpcisIds(new byte[32], "https://clinic.example/id/"), kits);

        Assert.Equal(kits[1], named.Known("https://clinic.example/id/kit/kit-02"));
        Assert.Equal(kits[1], named.Known("https://carrier.example/parcel/" + LabelCode.Of("kit-02", null).Text));
        Assert.Null(named.Known("https://partner.example/id/kit/kit-02"));
        Assert.Null(named.Known("https://carrier.example/parcel/" + LabelCode.Of("kit-03", null).Text));
    }

    private IReadOnlyList<EpcisEvent> Own() => EpcisHistory.Of(_kit.State.KitId, _kit.State.History, EpcisSamples.Ids, EpcisSamples.Zone, ParcelLimits.Operating);

    private EpcisTaken Take(params ForeignEvent[] events)
    {
        KitId[] all = [_kit.State.KitId];
        var own = Own().Where(happened => happened.Error is null).Select(happened => happened.Id).ToHashSet();
        var kits = new Dictionary<KitId, EpcisKit> { [_kit.State.KitId] = new(_kit.State, _kit.Context, true, own) };
        var taken = EpcisIntake.Take(events, kits, _fleet, new EpcisKitIds(EpcisSamples.Ids, all).Known, KitSamples.Coordinator);
        _kit.Happen([.. taken.KitFacts.Values.SelectMany(facts => facts)]);
        foreach (var fact in taken.FleetFacts)
        {
            _fleet = FleetFold.Apply(_fleet, new RecordedFleetFact(_fleet.Version + 1, _kit.Now, fact));
        }

        return taken;
    }

    private ForeignEvent Event(string id, CarrierStatus status, int hoursAgo = 3, int place = 1) =>
        new(place, id, _kit.Now.AddHours(-hoursAgo), [EpcisSamples.Ids.Kit(_kit.State.KitId)], status, CarrierReason.None, null, null, null, "{}");
}
