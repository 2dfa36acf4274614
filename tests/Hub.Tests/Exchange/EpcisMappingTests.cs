using System.Text.Json.Nodes;
using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Tests.Exchange;

/// <summary>Steps, dispositions and postal codes. Source: GS1 Core Business Vocabulary 2.0 short names by the practice reference's table of kit events; UPU codes after standard M40 by the same table.</summary>
public sealed class EpcisMappingTests
{
    private static readonly Actor _by = EpcisSamples.By;

    [Fact]
    public void AWholeLoanIsWrittenWithTheWordsOfTheTable()
    {
        var loan = EpcisSamples.Loan;
        var day = new DateOnly(2026, 3, 6);
        KitFact Said(KitLeg leg, CarrierStatus status) => new CarrierSaid(loan, leg, status, CarrierReason.None, null, EpcisSamples.Start, EntryMeans.Typed, null, _by);

        var events = Written(
            new ContentsSet(EpcisSamples.Items, _by),
            new KitCommissioned(_by),
            new KitReserved(loan, day, day.AddDays(9), day.AddDays(12), "Mill Lane 4", _by),
            new KitPacked(loan, EpcisSamples.Full, null, null, _by),
            new KitStaged(loan, _by),
            new KitSent(loan, KitLeg.Out, null, day, EntryMeans.Scanned, _by),
            Said(KitLeg.Out, CarrierStatus.Departed),
            Said(KitLeg.Out, CarrierStatus.UnderWay),
            Said(KitLeg.Out, CarrierStatus.Arrived),
            Said(KitLeg.Out, CarrierStatus.DeliveryFailed),
            Said(KitLeg.Out, CarrierStatus.Delivered),
            new KitCheckedIn(loan, EpcisSamples.Full, null, EntryMeans.Typed, _by),
            new KitTakenIntoUse(EpcisSamples.Session, _by),
            new KitSetDown(EpcisSamples.Session, false, _by),
            new KitPackedUp(loan, EpcisSamples.Full, null, null, _by),
            new KitSent(loan, KitLeg.Back, null, day, EntryMeans.Scanned, _by),
            Said(KitLeg.Back, CarrierStatus.Delivered),
            new KitReceived(loan, null, [], null, EntryMeans.Typed, _by),
            new KitQuarantined(EpcisSamples.Start, "a cold", _by),
            new CleaningBegun(null, _by),
            new TurnaroundSigned(KitStage.Cleaning, [], [], null, null, _by),
            new TurnaroundSigned(KitStage.Inspection, [new("inspect-whole", true)], [], null, null, _by),
            new TurnaroundSigned(KitStage.Restock, [], [], null, null, _by),
            new FunctionChecked([new("steady", true)], null, _by),
            new KitReleased(_by),
            new SentToLaboratory("Alder Lane Acoustics (invented)", day, _by),
            new RepairBegun("plug bent", _by),
            new KitGone(true, "porch", false, _by),
            new KitRetired("old", _by));

        string[] expected =
        [
            "contents.set assembling  ", "contents.set commissioning active ", "contents.set assembling  ",
            "kit.commissioned commissioning active ",
            "loan.reserved reserving reserved ",
            "parcel.packed packing in_progress ", "parcel.packed packing container_closed ",
            "parcel.staged staging_outbound in_progress ",
            "parcel.sent shipping in_transit EMA",
            "parcel.carrier-said departing in_transit EMC",
            "parcel.carrier-said transporting in_transit EMJ",
            "parcel.carrier-said arriving in_transit EMD",
            "parcel.carrier-said holding in_transit EMH",
            "parcel.carrier-said arriving unavailable EMI",
            "kit.checked-in unpacking in_progress ", "kit.checked-in receiving completeness_verified ",
            "use.begun other active ",
            "use.ended other in_progress ",
            "kit.packed-up repackaging in_progress ", "kit.packed-up repackaging container_closed ",
            "parcel.sent shipping returned EMA",
            "parcel.carrier-said arriving returned EMI",
            "kit.received receiving returned EMI",
            "kit.quarantined holding unavailable ",
            "cleaning.begun unpacking in_progress ", "cleaning.begun other in_progress ",
            "turnaround.signed other in_progress ",
            "turnaround.signed inspecting conformant ",
            "turnaround.signed stocking available ",
            "function.checked inspecting conformant ",
            "kit.released storing available ",
            "laboratory.sent consigning unavailable ",
            "repair.begun repairing needs_replacement ",
            "kit.gone other stolen ",
            "kit.retired decommissioning inactive ",
        ];
        Assert.Equal(expected, events.Select(one => $"{one["kit:fact"]} {one["bizStep"]} {one["disposition"]} {one["upu:event"]}"));
    }

    [Fact]
    public void WhatIsShortIsSaidAsAMismatchThatLasts()
    {
        var events = Written(new ContentsSet(EpcisSamples.Items, _by), new KitCheckedIn(EpcisSamples.Loan, [new("UNIT", 1), new("EAR", 1), new("TIP-10", 9)], null, EntryMeans.Typed, _by));

        var opened = events[^1];
        Assert.Equal("mismatch_quantity", (string)opened["disposition"]!);
        Assert.Equal("mismatch_quantity", (string)opened["persistentDisposition"]!["set"]![0]!);
        Assert.Equal("completeness_verified", (string)opened["persistentDisposition"]!["unset"]![0]!);
    }

    [Fact]
    public void ReadingsRaiseAnAlarmOutsideTheOperatingBandAndSayWhichBandItWas()
    {
        // 15 to 35 °C: IEC 60645-1:2017, clause 5.3.
        Assert.True(Alarm(new ParcelReadings(14.9, 20, null), ParcelLimits.Operating));
        Assert.True(Alarm(new ParcelReadings(20, 35.1, null), ParcelLimits.Operating));
        Assert.False(Alarm(new ParcelReadings(15, 35, null), ParcelLimits.Operating));
        Assert.False(Alarm(new ParcelReadings(-2.5, 40, null), new ParcelLimits(ParcelLimits.TransportName, -20, 60, null)));
        Assert.True(Alarm(new ParcelReadings(null, null, 31), new ParcelLimits(ParcelLimits.TransportName, -20, 60, 30)));
        Assert.False(Alarm(new ParcelReadings(null, null, 500), ParcelLimits.Operating));

        static bool Alarm(ParcelReadings readings, ParcelLimits limits)
        {
            var said = new CarrierSaid(EpcisSamples.Loan, KitLeg.Out, CarrierStatus.UnderWay, CarrierReason.None, null, EpcisSamples.Start, EntryMeans.Reported, readings, _by);
            var reading = Assert.Single(Assert.Single(EpcisHistory.Of(EpcisSamples.KitId, EpcisSamples.Recorded([said]), EpcisSamples.Ids, EpcisSamples.Zone, limits)).Readings);
            Assert.Equal(limits.HighestShockG is null && reading.Type == "Acceleration" ? null : limits.Name, reading.Limit);
            return reading.Alarm;
        }
    }

    [Fact]
    public void StatusAndReasonAreTwoFields()
    {
        // UNECE Recommendation 24.
        var said = Written(new CarrierSaid(EpcisSamples.Loan, KitLeg.Out, CarrierStatus.DeliveryFailed, CarrierReason.NobodyThere, null, EpcisSamples.Start, EntryMeans.Reported, null, _by))[0];

        Assert.Equal(("DeliveryFailed", "NobodyThere"), ((string)said["kit:carrierStatus"]!, (string)said["kit:carrierReason"]!));
    }

    [Fact]
    public void ACorrectedEntryIsDeclaredWrongUnderItsOwnIdAndItsReplacementNamed()
    {
        var wrong = new KitSent(EpcisSamples.Loan, KitLeg.Out, null, new DateOnly(2026, 3, 6), EntryMeans.Typed, _by);

        var events = Written(wrong, new EntryCorrected(1, false, false, "wrong day", _by), wrong with { On = new DateOnly(2026, 3, 5) }, new KitReleased(_by), new EntryCorrected(4, true, true, "another kit", _by));

        var declared = events[1];
        Assert.Equal((string)events[0]["eventID"]!, (string)declared["eventID"]!);
        Assert.Equal("incorrect_data", (string)declared["errorDeclaration"]!["reason"]!);
        Assert.Equal((string)events[2]["eventID"]!, (string)declared["errorDeclaration"]!["correctiveEventIDs"]![0]!);
        Assert.Equal("did_not_occur", (string)events[4]["errorDeclaration"]!["reason"]!);
        Assert.Null(events[4]["errorDeclaration"]!["correctiveEventIDs"]);
    }

    [Fact]
    public void TimesKeepTheClinicsClockAcrossItsChange()
    {
        // Clocks in Halifax went forward on 8 March 2026 at 2:00 (IANA time zone database).
        var entries = new[] { EpcisSamples.Start, EpcisSamples.Start.AddDays(3) }.Select((at, index) => new RecordedFact(index + 1, at, new KitReleased(_by))).ToList();

        var events = EpcisHistory.Of(EpcisSamples.KitId, entries, EpcisSamples.Ids, EpcisSamples.Zone, ParcelLimits.Operating);

        Assert.Equal([TimeSpan.FromHours(-4), TimeSpan.FromHours(-3)], events.Select(happened => happened.Time.Offset));
        Assert.Equal(TimeSpan.FromDays(3), events[1].Time - events[0].Time);
    }

    [Fact]
    public void ACertificateComesWithTheGearAndAnExchangedTransducerPartsThePair()
    {
        var events = Written(new GearReported(EpcisSamples.Gear()), new GearReported(EpcisSamples.Gear("CE-9", "INV-9")));

        Assert.Equal(["accepting", "assembling", "accepting", "disassembling", "assembling"], events.Select(one => (string)one["bizStep"]!));
        Assert.Equal(["OBSERVE", "ADD", "OBSERVE", "DELETE", "ADD"], events.Select(one => (string)one["action"]!));
        Assert.Equal(EpcisSamples.Ids.Certificate("INV-9"), (string)events[2]["certificationInfo"]![0]!);
        Assert.Equal("cert", (string)events[2]["bizTransactionList"]![0]!["type"]!);
    }

    private static List<JsonObject> Written(params KitFact[] facts) => [.. JsonNode.Parse(EpcisSamples.Document(facts))!["epcisBody"]!["eventList"]!.AsArray().Select(one => one!.AsObject())];
}
