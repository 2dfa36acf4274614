using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json.Nodes;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Exchange;

/// <summary>Documents out of and into a whole hub over HTTP.</summary>
public sealed class EpcisHubTests : IAsyncLifetime
{
    private RunningHub _hub = null!;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start();
        await using var kit = await _hub.Kit();
    }

    public ValueTask DisposeAsync() => _hub.DisposeAsync();

    [Fact]
    public async Task ADocumentIsShownKeptAndKnownAgain()
    {
        using var client = await Signed(Roles.Coordinator);
        var document = Document("https://id.example.org/8003/09506000134352K07");

        var preview = await Post(client, document, keep: false);
        var before = (await _hub.Get<FleetFacts>().Load(TestContext.Current.CancellationToken)).State.Foreign.Count;
        var kept = await Post(client, document, keep: true);
        var again = await Post(client, document, keep: true);

        Assert.Equal((false, EpcisOutcome.KeptAside), (preview.Kept, preview.Lines[0].Outcome));
        Assert.Equal(0, before);
        Assert.Equal((true, EpcisOutcome.KeptAside), (kept.Kept, kept.Lines[0].Outcome));
        Assert.Equal(EpcisOutcome.KnownAlready, again.Lines[0].Outcome);
        Assert.Equal("https://id.example.org/8003/09506000134352K07", Assert.Single((await _hub.Get<FleetFacts>().Read(TestContext.Current.CancellationToken)).Foreign).About);
    }

    [Fact]
    public async Task AFaultyDocumentChangesNothing()
    {
        using var client = await Signed(Roles.Coordinator);
        var document = JsonNode.Parse(Document("urn:uuid:5d1f6a52-8c0e-4f7b-9c58-0d5a2b0f1a77"))!;
        document["epcisBody"]!["eventList"]!.AsArray().Add(new JsonObject { ["type"] = "ObjectEvent" });

        var reply = await Post(client, document.ToJsonString(), keep: true, HttpStatusCode.BadRequest);

        Assert.All(reply.Faults, fault => Assert.Equal(2, fault.Event));
        Assert.False(reply.Kept);
        Assert.Empty((await _hub.Get<FleetFacts>().Load(TestContext.Current.CancellationToken)).State.History);
    }

    [Fact]
    public async Task AHistoryIsReadByThoseWhoCareForKitsAndBySessionsAndByNobodyElse()
    {
        foreach (var role in new[] { Roles.Coordinator, Roles.Clinician, Roles.Owner })
        {
            using var client = await Signed(role);
            var answer = await client.GetAsync(EpcisReply.ExportPath(new KitId("kit-01")), TestContext.Current.CancellationToken);
            Assert.Equal("attachment", answer.Content.Headers.ContentDisposition!.DispositionType);
            Assert.Equal("EPCISDocument", (string)JsonNode.Parse(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken))!["type"]!);
            Assert.Equal(HttpStatusCode.NotFound, (await client.GetAsync(EpcisReply.ExportPath(new KitId("kit-99")), TestContext.Current.CancellationToken)).StatusCode);
        }

        using var nobody = new HttpClient { BaseAddress = _hub.Address };
        Assert.Equal(HttpStatusCode.Unauthorized, (await nobody.GetAsync(EpcisReply.ExportPath(new KitId("kit-01")), TestContext.Current.CancellationToken)).StatusCode);
        using var clinician = await Signed(Roles.Clinician);
        Assert.Equal(HttpStatusCode.Forbidden, (await clinician.PostAsync(EpcisReply.Path, Content("{}"), TestContext.Current.CancellationToken)).StatusCode);
    }

    [Fact]
    public async Task ADocumentLargerThanTheLimitIsRefusedWithASentence()
    {
        using var client = await Signed(Roles.Coordinator);

        var reply = await Post(client, new string(' ', EpcisReply.MostBytes + 1), keep: true, HttpStatusCode.BadRequest);

        Assert.Contains("Divide it", Assert.Single(reply.Faults).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void TheKeyIsMadeOnceAndKeptForItsOwnerAlone()
    {
        using var folder = new TempFolder();
        var settings = new HubSettings { DataFolder = folder.Path };

        var first = EpcisSettings.Read(settings);

        Assert.Equal(first, EpcisSettings.Read(settings));
        Assert.Equal(32, Convert.FromBase64String(first.Key).Length);
        if (!OperatingSystem.IsWindows())
        {
            Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite, File.GetUnixFileMode(Path.Combine(folder.Path, EpcisSettings.FileName)));
        }

        File.WriteAllText(Path.Combine(folder.Path, EpcisSettings.FileName), """{"key":"AAAA","base":"clinic","transportLowestC":10}""");
        var fault = Assert.Throws<InvalidDataException>(() => EpcisSettings.Read(settings)).Message;
        Assert.All(new[] { "\"key\"", "\"base\"", "\"transportLowestC\"" }, name => Assert.Contains(name, fault, StringComparison.Ordinal));
    }

    private async Task<HttpClient> Signed(string role)
    {
        var cookies = await _hub.SignIn(await _hub.Person($"a {role}", role));
        return new HttpClient(new HttpClientHandler { CookieContainer = cookies }) { BaseAddress = _hub.Address };
    }

    private static async Task<EpcisReply> Post(HttpClient client, string document, bool keep, HttpStatusCode expected = HttpStatusCode.OK)
    {
        var answer = await client.PostAsync(EpcisReply.Path + (keep ? "?keep=true" : string.Empty), Content(document), TestContext.Current.CancellationToken);
        Assert.Equal(expected, answer.StatusCode);
        return (await answer.Content.ReadFromJsonAsync<EpcisReply>(Protocol.Json, TestContext.Current.CancellationToken))!;
    }

    private static StringContent Content(string text) => new(text, Encoding.UTF8, "application/ld+json");

    private static string Document(string about) => $$$"""
        {"@context": ["https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"], "type": "EPCISDocument", "schemaVersion": "2.0", "creationDate": "2026-11-20T15:30:00Z",
         "epcisBody": {"eventList": [{"eventID": "urn:uuid:5d1f6a52-8c0e-4f7b-9c58-0d5a2b0f1a02", "type": "ObjectEvent", "eventTime": "2026-11-20T10:25:00.000-05:00", "eventTimeZoneOffset": "-05:00", "action": "OBSERVE", "epcList": ["{{{about}}}"], "bizStep": "arriving", "disposition": "in_transit"}]}}
        """;
}
