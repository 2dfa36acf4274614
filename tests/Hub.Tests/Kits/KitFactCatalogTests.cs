using System.Text.Json.Nodes;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits;

/// <summary>Stored facts stay readable for good: every name and shape has a sample file that was written once.</summary>
public sealed class KitFactCatalogTests
{
    private static readonly string _folder = Path.Combine(RepositoryRoot.Path, "tests", "Hub.Tests", "Golden", "KitFacts");

    public static TheoryData<string, int> Lines()
    {
        var rows = new TheoryData<string, int>();
        foreach (var (name, shape, _) in KitFactCatalog.Lines)
        {
            rows.Add(name, shape);
        }

        return rows;
    }

    [Theory]
    [MemberData(nameof(Lines))]
    public void EveryStoredShapeIsStillReadAsItWasWritten(string name, int shape)
    {
        var path = Path.Combine(_folder, $"{name}.{shape}.json");
        if (Environment.GetEnvironmentVariable("TELEHEARING_WRITE_GOLDEN") == "1" && !File.Exists(path))
        {
            Directory.CreateDirectory(_folder);
            var sample = SamplesOf().First(fact => KitFactCatalog.Write(fact).Name == name);
            File.WriteAllText(path, JsonNode.Parse(KitFactCatalog.Write(sample).Payload)!.ToJsonString(new() { WriteIndented = true }) + "\n");
        }

        var stored = File.ReadAllText(path);

        var read = KitFactCatalog.Read(name, shape, stored);

        Assert.IsNotType<UnreadableFact>(read);
        Assert.True(JsonNode.DeepEquals(JsonNode.Parse(stored), JsonNode.Parse(KitFactCatalog.Write(read).Payload)), $"{name} {shape} is read or written in another way than it was stored.");
    }

    [Fact]
    public void EveryFactHasAName()
    {
        var types = typeof(KitFact).Assembly.GetTypes().Where(type => type.IsSubclassOf(typeof(KitFact)) && type != typeof(UnreadableFact));

        Assert.All(types, type => Assert.Contains(KitFactCatalog.Lines, line => line.Type == type));
        Assert.Equal(KitFactCatalog.Lines.Count, KitFactCatalog.Lines.Select(line => (line.Name, line.Shape)).Distinct().Count());
    }

    [Fact]
    public void WhatCannotBeReadIsCarriedAlongUnchanged()
    {
        var strange = KitFactCatalog.Read("from.the-future", 3, "{\"a\":1}");

        Assert.Equal(("from.the-future", 3, "{\"a\":1}"), KitFactCatalog.Write(strange));
        Assert.IsType<UnreadableFact>(KitFactCatalog.Read("kit.moved", 1, "{broken"));
        Assert.Equal(1, KitFold.Apply(KitState.Empty(new KitId("kit-01")), new RecordedFact(1, default, strange)).Version);
    }

    private static IEnumerable<KitFact> SamplesOf()
    {
        var by = KitSamples.Coordinator;
        var session = new SessionId(new Guid("0196f3a0-0000-7000-8000-000000000002"));
        return
        [
            new GearReported(KitSamples.Gear(new DateOnly(2026, 11, 2)) with { Calibration = KitSamples.Certificate(new DateOnly(2026, 11, 2)) with { Entries = [new(Ear.Left, 1000, 130, 60) { UncertaintyDb = 0.7 }], TemperatureC = 22.4, PressureKPa = 100.9, Site = "Fernhill" } }),
            new BaselineRecorded("E1", [new KnownEarLevel(Ear.Left, 1000, 5)], by),
            new KnownEarChecked("E1", [new KnownEarShift(Ear.Left, 1000, 5, 15)], KnownEarVerdict.CalibrationNeeded, "INV-3391", by),
            new FunctionChecked([new FunctionAnswer("crosstalk", false)], "heard on both sides", by),
            new SidesProven(session, new StepId(new Guid("0196f3a0-0000-7000-8000-000000000001")), 6),
            new KitMoved("Hill clinic", 93.6, by),
            new LoanBegun(new DateOnly(2026, 11, 25), new DateOnly(2026, 12, 9), "Mill Lane 4", by),
            new LoanEnded(by),
            new LookBackOpened("The function check failed: crosstalk.", new DateTimeOffset(2026, 11, 2, 0, 0, 0, TimeSpan.Zero), [session]),
            new SessionReviewed(9, session, "unchanged", by),
        ];
    }
}
