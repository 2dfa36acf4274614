using System.Net;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Records;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Records;

public sealed class RecordTests
{
    [Fact]
    public async Task TheRecordCarriesEveryThresholdWithWhatItRestsOnAndTheLinesProveThemselves()
    {
        await using var hub = await RunningHub.Start();
        var clinician = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(clinician);
        await using var console = await hub.Console(clinician);
        await console.Watch(session);
        await console.Ask(new TakeControl());
        await kit.Connect();
        await Walk.ToTesting(console, kit);
        await Search(console, kit, 45);
        await Search(console, kit, 40);

        using var client = new HttpClient(new HttpClientHandler { CookieContainer = await hub.SignIn(clinician) }) { BaseAddress = hub.Address };
        var text = await client.GetStringAsync($"/api/sessions/{session}/record", TestContext.Current.CancellationToken);
        var record = JsonSerializer.Deserialize<SessionRecord>(text, Protocol.Json)!;

        Assert.Equal(["KitCheck", "RoomNoise", "EarLook", "SideProof", "Testing"], record.Stages.Select(visit => visit.Stage.ToString()).TakeLast(5));
        Assert.Equal([(45.0, true), (40.0, false)], record.Thresholds.Select(line => (((ThresholdOutcome.Established)line.Threshold.Outcome).LevelDbHl, line.Superseded)));
        var evidence = record.Thresholds[1];
        Assert.Equal("Maren Toft", evidence.OrderedBy!.ByName);
        Assert.Equal("C-1", evidence.Threshold.Gear.CertificateId);
        Assert.NotEmpty(evidence.Threshold.Trials[0].Noise);
        Assert.Equal(record.ConsentEntries.Single(entry => entry.Purpose == ConsentPurpose.Care).Sequence, evidence.ConsentSequence);
        Assert.All(record.ConsentEntries, entry => Assert.Equal((ConsentMeans.Spoken, "Maren Toft"), (entry.How!.Value, entry.RecordedBy)));
        Assert.Equal(record.Rooms.Single().Sequence, evidence.RoomSequence);
        Assert.Equal(record.SideProofs.Single().Sequence, evidence.SideProofSequence);
        Assert.Equal(record.KitChecks.Single().Sequence, evidence.KitCheckSequence);
        Assert.Equal(Samples.Card().Present, evidence.PersonsPresent);
        Assert.DoesNotContain("Brandvold", text, StringComparison.Ordinal);

        var lines = (await client.GetStringAsync($"/api/sessions/{session}/events", TestContext.Current.CancellationToken)).Split('\n', StringSplitOptions.RemoveEmptyEntries);
        Assert.Equal(record.EventCount, lines.Length);
        Assert.Equal(record.HeadHash, Recompute(session, lines));
        Assert.Equal(HttpStatusCode.NotFound, (await client.GetAsync($"/api/sessions/{SessionId.New()}/record", TestContext.Current.CancellationToken)).StatusCode);
    }

    /// <summary>The chain as docs/protocol.md describes it, computed without the hub's code.</summary>
    private static string Recompute(SessionId session, IEnumerable<string> lines)
    {
        var previous = new byte[32];
        foreach (var line in lines)
        {
            var row = JsonDocument.Parse(line).RootElement;
            var head = $"{session.Value:N}\n{row.GetProperty("sequence")}\n{row.GetProperty("kind")}\n{row.GetProperty("shape")}\n{row.GetProperty("timeTicks")}\n";
            Assert.Equal(Convert.ToHexStringLower(previous), row.GetProperty("previousHash").GetString());
            previous = SHA256.HashData([.. previous, .. Encoding.UTF8.GetBytes(head + row.GetProperty("sealed").GetString())]);
            Assert.Equal(Convert.ToHexStringLower(previous), row.GetProperty("hash").GetString());
        }

        return Convert.ToHexStringLower(previous);
    }

    private static async Task Search(TestConsole console, TestKit kit, double level)
    {
        await console.Must(new OrderStep(new SearchThresholdStep(Ear.Right, 1000, StoppingRule.TwoOfThree, ToneShape.Steady), false));
        var order = await kit.NextOrder();
        await kit.Report(order.SessionId, new StepStarted(order.StepId), new ThresholdFound(Samples.Threshold(order.StepId, level: level)), new StepEnded(order.StepId, StepEnding.Completed, null, null, null));
    }
}
