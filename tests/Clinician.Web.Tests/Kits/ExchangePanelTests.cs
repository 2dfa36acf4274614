using System.Net;
using System.Net.Http.Json;
using System.Text;
using Bunit;
using Microsoft.AspNetCore.Components.Forms;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Clinician.Web.Kits.Exchange;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests.Kits;

/// <summary>Events of kits for others, out and in, on the kit's page. What a hub makes of a document is held in the hub's own tests.</summary>
public sealed class ExchangePanelTests : ConsoleContext
{
    private const string Document = """{"type": "EPCISDocument"}""";

    private static readonly EpcisLine[] _lines =
    [
        new(1, "urn:uuid:1", EpcisOutcome.Taken, new KitId("kit-01"), "The parcel arrived at a depot."),
        new(2, "urn:uuid:2", EpcisOutcome.KeptAside, null, "It is about none of our kits."),
        new(3, "urn:uuid:3", EpcisOutcome.KnownAlready, new KitId("kit-01"), "It came before."),
    ];

    private readonly FakeHub _hub = new();

    public ExchangePanelTests() => Services.AddSingleton(new HttpClient(_hub) { BaseAddress = new Uri("http://hub.test/") });

    private IRenderedComponent<ExchangePanel> Panel() => Render<ExchangePanel>(parameters => parameters.AddCascadingValue(SampleKits.Good()));

    private IRenderedComponent<ExchangePanel> Chosen(string document = Document)
    {
        var panel = Panel();
        panel.FindComponent<InputFile>().UploadFiles(InputFileContent.CreateFromText(document, "events.jsonld"));
        return panel;
    }

    [Fact]
    public void TheEventsOfTheKitAreSavedFromItsOwnAddress() =>
        Assert.Equal("api/kits/kit-01/epcis", Panel().Find("a[download]").GetAttribute("href"));

    [Fact]
    public async Task ADocumentIsShownFirstAndRecordedWhenItIsSaid()
    {
        _hub.Answer = keep => (HttpStatusCode.OK, JsonContent.Create(new EpcisReply([], _lines, keep, null), options: Protocol.Json));
        var panel = Chosen();

        panel.WaitForAssertion(() => Assert.Contains("This is what it would do.", panel.Markup, StringComparison.Ordinal));
        Assert.Equal(["1 kit-01 Will be recorded with the kit. The parcel arrived at a depot.", "2 none of ours Will be kept aside. It is about none of our kits.", "3 kit-01 Known already. It came before."],
            panel.FindAll("tbody tr").Select(row => string.Join(' ', row.QuerySelectorAll("td").Select(cell => cell.TextContent))));
        Assert.Equal([("/api/kits/epcis", Document)], _hub.Asked);

        await panel.FindAll("button").Single(button => button.TextContent == "Record it").ClickAsync(new());

        Assert.Equal([("/api/kits/epcis", Document), ("/api/kits/epcis?keep=true", Document)], _hub.Asked);
        Assert.Contains("2 none of ours Kept aside. It is about none of our kits.", panel.FindAll("tbody tr").Select(row => string.Join(' ', row.QuerySelectorAll("td").Select(cell => cell.TextContent))));
        Assert.Contains("Recorded: 1 event; kept aside, for the reason beside it: 1 event.", panel.Find(".answer.good").TextContent, StringComparison.Ordinal);
        Assert.DoesNotContain(panel.FindAll("button"), button => button.TextContent == "Record it");
    }

    [Fact]
    public void AFaultyDocumentIsRefusedWithAllItsFaultsAndCannotBeRecorded()
    {
        EpcisFault[] faults = [new(0, "schemaVersion", "Only version 2.0 is read."), new(2, "eventTime", "This is no time."), new(3, string.Empty, "It is no event.")];
        _hub.Answer = _ => (HttpStatusCode.BadRequest, JsonContent.Create(new EpcisReply(faults, [], false, null), options: Protocol.Json));
        var panel = Chosen();

        panel.WaitForAssertion(() => Assert.Equal(
            ["The document, schemaVersion: Only version 2.0 is read.", "Event 2, eventTime: This is no time.", "Event 3: It is no event."],
            panel.FindAll(".faults li").Select(line => line.TextContent)));
        Assert.DoesNotContain(panel.FindAll("button"), button => button.TextContent == "Record it");
    }

    [Fact]
    public void ARefusalIsSaidWithWhatToDo()
    {
        _hub.Answer = _ => (HttpStatusCode.BadRequest, JsonContent.Create(new EpcisReply([], [], false, new Refusal(RefusalCodes.FleetDamaged, "The log was changed from outside.", "Tell the owner.")), options: Protocol.Json));
        var panel = Chosen();

        panel.WaitForAssertion(() => Assert.Equal("Nothing was recorded. The log was changed from outside. Tell the owner.", panel.Find(".answer.halt").TextContent));
    }

    [Theory]
    [InlineData(HttpStatusCode.Forbidden, "", "Ask a coordinator")]
    [InlineData(HttpStatusCode.InternalServerError, "", "did not answer as expected")]
    [InlineData(HttpStatusCode.OK, "<html>", "did not answer as expected")]
    [InlineData(HttpStatusCode.BadRequest, "{}", "did not answer as expected")]
    public void AnAnswerThatIsNoneIsSaidInWords(HttpStatusCode status, string body, string words)
    {
        _hub.Answer = _ => (status, new StringContent(body, Encoding.UTF8, "application/json"));
        var panel = Chosen();

        panel.WaitForAssertion(() => Assert.Contains(words, panel.Find(".answer.halt").TextContent, StringComparison.Ordinal));
    }

    [Fact]
    public void ADocumentThatIsTooLargeIsNotEvenSent()
    {
        var panel = Chosen(new string(' ', EpcisReply.MostBytes + 1));

        panel.WaitForAssertion(() => Assert.Contains("larger than 2 MB", panel.Find(".answer.halt").TextContent, StringComparison.Ordinal));
        Assert.Empty(_hub.Asked);
    }

    /// <summary>Answers as the test says, and remembers what was posted.</summary>
    private sealed class FakeHub : HttpMessageHandler
    {
        public List<(string Address, string Body)> Asked { get; } = [];

        public Func<bool, (HttpStatusCode Status, HttpContent Content)> Answer { get; set; } = _ => throw new HttpRequestException("no hub");

        protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
        {
            Asked.Add((request.RequestUri!.PathAndQuery, await request.Content!.ReadAsStringAsync(cancellationToken)));
            var (status, content) = Answer(request.RequestUri.Query == "?keep=true");
            return new HttpResponseMessage(status) { Content = content };
        }
    }
}
