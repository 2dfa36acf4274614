using System.Text;
using System.Text.Json.Nodes;
using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Tests.Exchange;

/// <summary>Documents of somebody else, right and wrong.</summary>
public sealed class EpcisDocumentReaderTests
{
    /// <summary>The two movements of the worked document of the interoperability reference, section 2.</summary>
    private const string Worked = """
        {"@context": ["https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld", {"kit": "https://example.org/ns/loan-kit/"}],
         "type": "EPCISDocument", "schemaVersion": "2.0", "creationDate": "2026-11-20T15:30:00Z",
         "epcisBody": {"eventList": [
           {"eventID": "urn:uuid:5d1f6a52-8c0e-4f7b-9c58-0d5a2b0f1a01", "type": "AggregationEvent", "eventTime": "2026-11-20T10:02:11.000-05:00", "eventTimeZoneOffset": "-05:00", "action": "ADD",
            "parentID": "https://id.example.org/8003/09506000134352K07", "childEPCs": ["https://id.example.org/8004/9506000AUD0012"], "bizStep": "packing"},
           {"eventID": "urn:uuid:5d1f6a52-8c0e-4f7b-9c58-0d5a2b0f1a02", "type": "ObjectEvent", "eventTime": "2026-11-20T10:25:00.000-05:00", "eventTimeZoneOffset": "-05:00", "action": "OBSERVE",
            "epcList": ["https://id.example.org/8003/09506000134352K07"], "bizStep": "shipping", "disposition": "in_transit", "readPoint": {"id": "https://id.example.org/414/9506000100001"}, "kit:sealNumber": "S-44812",
            "sensorElementList": [{"sensorReport": [{"type": "Temperature", "value": 21.4, "uom": "CEL"}, {"type": "Temperature", "value": 50, "uom": "FAH"}, {"type": "Acceleration", "maxValue": 19.6133, "uom": "MSK"}]}]}]}}
        """;

    [Fact]
    public void TheWorkedDocumentIsRead()
    {
        var read = Read(Worked);

        Assert.Empty(read.Faults);
        Assert.Null(read.Events[0].Status);
        var shipped = read.Events[1];
        Assert.Equal(CarrierStatus.HandedOver, shipped.Status);
        // Twice the standard acceleration of gravity, 9.80665 m/s² (3rd General Conference on Weights and Measures, 1901).
        Assert.Equal(new ParcelReadings(10, 21.4, 2), shipped.Readings);
        Assert.Equal("https://id.example.org/414/9506000100001", shipped.Where);
    }

    [Theory]
    [InlineData("urn:epcglobal:cbv:bizstep:departing", CarrierStatus.Departed)]
    [InlineData("https://ns.gs1.org/cbv/BizStep-departing", CarrierStatus.Departed)]
    [InlineData("cbv:BizStep-transporting", CarrierStatus.UnderWay)]
    [InlineData("receiving", CarrierStatus.Delivered)]
    public void AWordOfTheVocabularyIsKnownInEveryForm(string step, CarrierStatus expected) =>
        Assert.Equal(expected, Read(Changed(one => one["bizStep"] = step)).Events[1].Status);

    [Theory]
    // CBV 2.0: holding is the activity of holding an object, for whatever reason. Only the reason tells a failed delivery from a stop on the way.
    [InlineData("NobodyThere", CarrierStatus.DeliveryFailed)]
    [InlineData("Refused", CarrierStatus.DeliveryFailed)]
    [InlineData("AddressUnclear", CarrierStatus.DeliveryFailed)]
    [InlineData("Customs", CarrierStatus.UnderWay)]
    [InlineData("Held", CarrierStatus.UnderWay)]
    [InlineData("Other", null)]
    [InlineData(null, null)]
    public void AParcelThatIsHeldSaysWhatItsReasonSays(string? reason, CarrierStatus? expected)
    {
        var document = JsonNode.Parse(Worked)!;
        document["@context"]![1]!.AsObject()["own"] = EpcisWords.OwnSpace;
        var held = document["epcisBody"]!["eventList"]![1]!.AsObject();
        held["bizStep"] = "holding";
        if (reason is not null)
        {
            held["own:carrierReason"] = reason;
        }

        Assert.Equal(expected, Read(document.ToJsonString()).Events[1].Status);
    }

    [Fact]
    public void ThePostalCodeCountsBeforeTheStep()
    {
        var document = JsonNode.Parse(Worked)!;
        document["@context"]![1]!.AsObject()["post"] = EpcisWords.PostSpace;
        document["epcisBody"]!["eventList"]![1]!["post:event"] = "EMH";

        Assert.Equal(CarrierStatus.DeliveryFailed, Read(document.ToJsonString()).Events[1].Status);
    }

    [Fact]
    public void AllFaultsOfAllEventsAreListed()
    {
        var document = JsonNode.Parse(Worked)!;
        var events = document["epcisBody"]!["eventList"]!.AsArray();
        events[0]!.AsObject().Remove("parentID");
        events[1]!["eventTime"] = "2026-11-20 10:25";
        events[1]!["eventTimeZoneOffset"] = "five";
        events[1]!["action"] = "LOOK";
        events[1]!["epcList"] = new JsonArray("K07");
        events.Add("words");

        var faults = Read(document.ToJsonString()).Faults;

        Assert.Equal([(1, "parentID"), (2, "eventTime"), (2, "eventTimeZoneOffset"), (2, "action"), (2, "epcList"), (3, "")], faults.Select(fault => (fault.Event, fault.Field)));
    }

    [Theory]
    [InlineData("", "no JSON")]
    [InlineData("{", "no JSON")]
    [InlineData("[]", "no EPCIS document")]
    [InlineData("""{"type":"EPCISDocument","schemaVersion":"2.0","epcisBody":{"eventList":[{"type":"\ud800"}]}}""", "half a character")]
    [InlineData("""{"type":"EPCISDocument","type":"EPCISDocument"}""", "twice")]
    [InlineData("""{"type":"EPCISDocument","schemaVersion":"1.2","epcisBody":{"eventList":[]}}""", "version 2")]
    [InlineData("""{"type":"EPCISDocument","schemaVersion":"2.0"}""", "no list")]
    public void WhatIsNoDocumentIsRefusedWithASentence(string text, string part) => Assert.Contains(part, string.Join(" ", Read(text).Faults.Select(fault => fault.Sentence)));

    [Fact]
    public void LimitsOfSizeCountAndDepthHold()
    {
        Assert.Contains("MB", Read(new string(' ', EpcisReply.MostBytes + 1)).Faults[0].Sentence);
        Assert.Contains("deep", Read(string.Concat(Enumerable.Repeat("[", 500))).Faults[0].Sentence);
        Assert.Contains("more than", Read($$$"""{"type":"EPCISDocument","schemaVersion":"2.0","epcisBody":{"eventList":[{{{string.Join(",", Enumerable.Repeat("{}", EpcisDocumentReader.MostEvents + 1))}}}]}}""").Faults[0].Sentence);
        Assert.Contains(Read(Changed(one => one["kit:note"] = new string('x', EpcisDocumentReader.LongestEvent))).Faults, fault => fault.Sentence.Contains("characters long", StringComparison.Ordinal));
    }

    [Fact]
    public void OneIdForTwoDifferentEventsIsAFault() =>
        Assert.Equal("eventID", Assert.Single(Read(Changed(one => one["eventID"] = "urn:uuid:5d1f6a52-8c0e-4f7b-9c58-0d5a2b0f1a01")).Faults).Field);

    [Fact]
    public void WhateverBytesComeThereIsAnOutcome()
    {
        var good = Encoding.UTF8.GetBytes(EpcisSamples.Document(EpcisSamples.EveryKind()));
        var config = Config.QuickThrowOnFailure.WithMaxTest(300).WithReplay(20261125, 33);
        Check.One(config, Prop.ForAll(Gen.Choose(0, int.MaxValue).ToArbitrary(), seed =>
        {
            var (random, bytes) = (new Random(seed), good.ToArray());
            for (var changes = random.Next(1, 5); changes > 0; changes--)
            {
                bytes[random.Next(bytes.Length)] = (byte)random.Next(256);
            }

            var read = EpcisDocumentReader.Read(bytes.AsMemory(0, random.Next(2) == 0 ? bytes.Length : random.Next(bytes.Length)));
            return read.Faults.Count == 0 || read.Events.Count == 0;
        }));
    }

    [Fact]
    public void WhatIsWrittenHereIsReadHere()
    {
        var facts = EpcisSamples.EveryKind();

        var read = Read(EpcisSamples.Document(facts));

        Assert.Empty(read.Faults);
        var written = EpcisSamples.Events(facts);
        Assert.Equal(written.Select(happened => (happened.Id, happened.Error is not null)), read.Events.Select(happened => (happened.Id, happened.DeclaredWrong is not null)));
        var said = facts.OfType<CarrierSaid>().First();
        Assert.Contains(read.Events, happened => happened.Status == said.Status && happened.Reason == said.Reason && happened.Readings is { LowestC: -2.5, HighestC: 19, HighestShockG: 31 });
    }

    private static string Changed(Action<JsonObject> change)
    {
        var document = JsonNode.Parse(Worked)!;
        change(document["epcisBody"]!["eventList"]![1]!.AsObject());
        return document.ToJsonString();
    }

    private static EpcisDocument Read(string text) => EpcisDocumentReader.Read(Encoding.UTF8.GetBytes(text));
}
