using System.Text.Json;

namespace TeleHearing.Contracts.Tests;

/// <summary>The JSON of the wire and of stored events is frozen: fields are added, never renamed.</summary>
/// <remarks>When a field was added on purpose, run with the environment variable APPROVE_WIRE=1 to write the files anew, and read the difference.</remarks>
public sealed class WireFormatTests
{
    private static readonly JsonSerializerOptions _indented = new(Protocol.Json) { WriteIndented = true };

    [Fact]
    public void CommandsKeepTheirJson() => AssertFrozen("commands.json", Samples.Commands.Select(command => JsonSerializer.Serialize(command, _indented)));

    [Fact]
    public void KitCommandsKeepTheirJson() => AssertFrozen("kit-commands.json", Samples.KitCommands.Select(command => JsonSerializer.Serialize(command, _indented)));

    [Fact]
    public void FleetCommandsKeepTheirJson() => AssertFrozen("fleet-commands.json", FleetSamples.Commands.Select(command => JsonSerializer.Serialize(command, _indented)));

    [Fact]
    public void TheFleetKeepsItsJson() => AssertFrozen("fleet.json", FleetSamples.Messages.Select(message => JsonSerializer.Serialize(message, message.GetType(), _indented)));

    [Fact]
    public void FleetCommandsSurviveTheRoundTripAndEachHasASample()
    {
        AssertAllSampled(typeof(FleetCommand), FleetSamples.Commands);
        foreach (var command in FleetSamples.Commands)
        {
            var json = JsonSerializer.Serialize(command, Protocol.Json);
            Assert.Equal(json, JsonSerializer.Serialize(JsonSerializer.Deserialize<FleetCommand>(json, Protocol.Json), Protocol.Json));
        }
    }

    [Fact]
    public void ReportsKeepTheirJson() => AssertFrozen("reports.json", Samples.Reports.Select(report => JsonSerializer.Serialize(report, _indented)));

    [Fact]
    public void MessagesKeepTheirJson() => AssertFrozen("messages.json", Samples.Messages.Select(message => JsonSerializer.Serialize(message, message.GetType(), _indented)));

    [Fact]
    public void WhatIsAskedAboutDataKeepsItsJsonAndEachHasASample()
    {
        AssertAllSampled(typeof(DataAsk), DataSamples.Asks);
        AssertFrozen("data.json", [.. DataSamples.Asks.Select(ask => JsonSerializer.Serialize(new DataEnvelope(Protocol.Version, ask), _indented)), .. DataSamples.Replies.Select(reply => JsonSerializer.Serialize(reply, _indented))]);
    }

    [Fact]
    public void CommandsAndReportsSurviveTheRoundTrip()
    {
        foreach (var command in Samples.Commands)
        {
            var json = JsonSerializer.Serialize(command, Protocol.Json);
            Assert.Equal(json, JsonSerializer.Serialize(JsonSerializer.Deserialize<SessionCommand>(json, Protocol.Json), Protocol.Json));
        }

        foreach (var command in Samples.KitCommands)
        {
            var json = JsonSerializer.Serialize(command, Protocol.Json);
            Assert.Equal(json, JsonSerializer.Serialize(JsonSerializer.Deserialize<KitCommand>(json, Protocol.Json), Protocol.Json));
        }

        foreach (var report in Samples.Reports)
        {
            var json = JsonSerializer.Serialize(report, Protocol.Json);
            Assert.Equal(json, JsonSerializer.Serialize(JsonSerializer.Deserialize<KitReport>(json, Protocol.Json), Protocol.Json));
        }
    }

    [Fact]
    public void EveryCommandReportAndStepHasASample()
    {
        AssertAllSampled(typeof(SessionCommand), Samples.Commands);
        AssertAllSampled(typeof(KitCommand), Samples.KitCommands);
        AssertAllSampled(typeof(KitReport), Samples.Reports);
        AssertAllSampled(typeof(StepRequest), Samples.Commands.OfType<OrderStep>().Select(order => order.Request));
    }

    [Fact]
    public void NotANumberCanBeReadSoThatAValidatorCanRefuseIt()
    {
        var command = JsonSerializer.Deserialize<SessionCommand>("""{"command":"order-step","loudConfirmed":false,"request":{"step":"present-tone","ear":"Right","frequencyHz":1000,"levelDbHl":"NaN","shape":"Steady","durationMs":1200}}""", Protocol.Json);

        var tone = Assert.IsType<PresentToneStep>(Assert.IsType<OrderStep>(command).Request);
        Assert.True(double.IsNaN(tone.LevelDbHl));
    }

    [Fact]
    public void AnUnknownCommandIsAnError() =>
        Assert.ThrowsAny<JsonException>(() => JsonSerializer.Deserialize<SessionCommand>("""{"command":"open-the-pod-bay-doors"}""", Protocol.Json));

    [Fact]
    public void VersionsOutsideTheRangeAreNotAccepted()
    {
        Assert.True(Protocol.Accepts(Protocol.Version));
        Assert.False(Protocol.Accepts(Protocol.Version + 1));
        Assert.False(Protocol.Accepts(Protocol.OldestAccepted - 1));
    }

    private static void AssertAllSampled(Type root, IEnumerable<object> samples)
    {
        var concrete = root.Assembly.GetTypes().Where(type => type.IsSubclassOf(root) && !type.IsAbstract);

        Assert.Empty(concrete.Except(samples.Select(sample => sample.GetType())));
    }

    private static void AssertFrozen(string file, IEnumerable<string> documents)
    {
        var actual = "[\n" + string.Join(",\n", documents) + "\n]\n";
        var path = Path.Combine(AppContext.BaseDirectory, "Golden", file);
        if (Environment.GetEnvironmentVariable("APPROVE_WIRE") == "1")
        {
            File.WriteAllText(Path.Combine(SourceFolder(), "Golden", file), actual);
            return;
        }

        Assert.Equal(File.ReadAllText(path), actual);
    }

    private static string SourceFolder([System.Runtime.CompilerServices.CallerFilePath] string path = "") => Path.GetDirectoryName(path)!;
}
