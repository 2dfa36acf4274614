using System.Runtime.CompilerServices;
using System.Text.Json.Nodes;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Devices;

/// <summary>The example of docs/guides/kit.md is a description a kit starts with, and what the guide says of a wrong one is so.</summary>
public sealed class KitGuideTests : IDisposable
{
    private readonly TempFolder _folder = new();

    private static string Guides { get; } = Path.Combine(Repository(), "docs", "guides");

    private static string Example => File.ReadAllText(Path.Combine(Guides, "kit.json"));

    public void Dispose() => _folder.Dispose();

    [Fact]
    public void TheExampleIsReadAndNothingInItIsPassedOver()
    {
        var kit = Load(Example);

        // a misspelt name would be passed over, and then be missing here
        var written = JsonNode.Parse(GearFiles.Serialize(kit))!;
        Assert.Equal(Names(JsonNode.Parse(Example)!).Order(StringComparer.Ordinal), Names(written).Order(StringComparer.Ordinal));
        Assert.Equal(ThirdOctaveBands.Nominal, kit.Microphone!.SelfNoise.Select(band => band.BandHz));
        Assert.InRange(kit.OutputLatencyMs!.Value, 20, KitSound.LongestLatencyMs);
    }

    [Fact]
    public void NoCeilingOfTheExampleIsAboveTheUsual()
    {
        var (ceilings, usual) = (Load(Example).Ceilings, CeilingRules.Usual(TransducerKind.Circumaural));

        Assert.All(TeleHearing.Audiology.AudiometricFrequency.All, frequency => Assert.InRange(ceilings.HighestFor(TransducerKind.Circumaural, frequency)!.Value, 0, usual.HighestFor(TransducerKind.Circumaural, frequency)!.Value));
    }

    [Fact]
    public void EveryFieldOfTheExampleIsInTheGuide()
    {
        var guide = File.ReadAllText(Path.Combine(Guides, "kit.md"));

        Assert.All(Names(JsonNode.Parse(Example)!).Select(name => name.Split('.')[^1]), name => Assert.Contains(name + "`", guide, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("\"Circumaural\",\n  \"use\"", "\"Headphones\",\n  \"use\"", "line 4, transducerKind")]
    [InlineData("\"use\": \"Moved\"", "\"use\": Moved", "line 5, use")]
    [InlineData("\"unitSerial\": \"FH-UNIT-0140\"", "\"unitSerial\": \"\"", "lacks a serial number")]
    [InlineData("\"ceilings\": {", "\"limits\": {", "lacks a serial number or its ceilings")]
    public void WhatIsWrongIsNamedWithItsPlace(string right, string wrong, string words)
    {
        Assert.Contains(right, Example, StringComparison.Ordinal);

        var fault = Assert.Throws<FatalFaultException>(() => Load(Example.Replace(right, wrong, StringComparison.Ordinal)));

        Assert.Contains(words, fault.Message, StringComparison.Ordinal);
        Assert.Contains(_folder.Inside(GearFiles.KitFile), fault.Message, StringComparison.Ordinal);
    }

    private static IEnumerable<string> Names(JsonNode node, string before = "") => node switch
    {
        JsonObject whole => whole.SelectMany(field => Names(field.Value!, $"{before}.{field.Key}").Prepend($"{before}.{field.Key}")),
        JsonArray list => list.SelectMany((item, index) => Names(item!, $"{before}[{index}]")),
        _ => [],
    };

    private static string Repository([CallerFilePath] string path = "") => Path.GetFullPath(Path.Combine(Path.GetDirectoryName(path)!, "..", "..", ".."));

    private KitDescription Load(string text)
    {
        File.WriteAllText(_folder.Inside(GearFiles.KitFile), text);
        return GearFiles.LoadQuietly(_folder.Path).Kit;
    }
}
