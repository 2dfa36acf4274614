using System.Text.Json.Nodes;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Fleet;

/// <summary>Stored facts of the fleet stay readable for good: every name and shape has a sample file that was written once.</summary>
public sealed class FleetFactCatalogTests
{
    private static readonly string _folder = Path.Combine(RepositoryRoot.Path, "tests", "Hub.Tests", "Golden", "FleetFacts");

    public static TheoryData<string, int> Lines()
    {
        var rows = new TheoryData<string, int>();
        foreach (var (name, shape, _) in FleetFactCatalog.Lines)
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
            var sample = SamplesOf().First(fact => FleetFactCatalog.Write(fact).Name == name);
            File.WriteAllText(path, JsonNode.Parse(FleetFactCatalog.Write(sample).Payload)!.ToJsonString(new() { WriteIndented = true }) + "\n");
        }

        var stored = File.ReadAllText(path);

        var read = FleetFactCatalog.Read(name, shape, stored);

        Assert.IsNotType<UnreadableFleetFact>(read);
        Assert.True(JsonNode.DeepEquals(JsonNode.Parse(stored), JsonNode.Parse(FleetFactCatalog.Write(read).Payload)), $"{name} {shape} is read or written in another way than it was stored.");
    }

    [Fact]
    public void EveryFactHasANameAndWhatCannotBeReadIsCarriedAlong()
    {
        var types = typeof(FleetFact).Assembly.GetTypes().Where(type => type.IsSubclassOf(typeof(FleetFact)) && type != typeof(UnreadableFleetFact));

        Assert.All(types, type => Assert.Contains(FleetFactCatalog.Lines, line => line.Type == type));
        Assert.Equal(("from.the-future", 3, "{\"a\":1}"), FleetFactCatalog.Write(FleetFactCatalog.Read("from.the-future", 3, "{\"a\":1}")));
        Assert.IsType<UnreadableFleetFact>(FleetFactCatalog.Read("loan.placed", 1, "{\"kitId\":["));
    }

    private static IReadOnlyList<FleetFact> SamplesOf()
    {
        var by = KitSamples.Coordinator;
        var loan = new LoanId(new Guid("0196f3a0-0000-7000-8000-0000000000a1"));
        var day = new DateOnly(2026, 3, 18);
        return
        [
            new LoanRequested(new RequestLoan(loan, [new SessionId(new Guid("0196f3a0-0000-7000-8000-000000000001"))], [day], "Mill Lane 4", "north", "America/Halifax", [TransducerKind.Circumaural], LoanUrgency.Soon, new LoanSpans(1, 3, 1, 3, 2)), by),
            new LoanWithdrawn(loan, "not wanted", by),
            new LoanPlaced(loan, new KitId("kit-02"), day, day.AddDays(13), day.AddDays(16), by),
            new LoanSwapped(loan, new LoanId(new Guid("0196f3a0-0000-7000-8000-0000000000a2")), "no sound", by),
            new LoanProlonged(loan, day.AddDays(20), day.AddDays(23), "one more session", by),
            new CalendarWasSet(new FleetCalendar("north", [DayOfWeek.Sunday], [new CalendarHoliday(day, "Ferry day")]), by),
            new TermsWereSet(FleetTerms.Initial with { IncidentHours = 48 }, by),
            new IncidentOpened(IncidentKind.Lost, new KitId("kit-02"), loan, day, "not found", true, by),
            new IncidentNoted(4, "test results", IncidentRisk.Low, "the owner", day, day, "told", by),
            new IncidentClosed(4, "found unopened", by),
            new ErrandPlanned(new Guid("0196f3a0-0000-7000-8000-0000000000a3"), "Alder Lane Acoustics", [new KitId("kit-02")], day, day.AddDays(14), by),
            new ErrandFinished(new Guid("0196f3a0-0000-7000-8000-0000000000a3"), "put off", by),
            new TierWasSet("assistant-1", AssistantTier.Trained, "course of the clinic", by),
            new SignOffGiven(new Guid("0196f3a0-0000-7000-8000-0000000000b1"), "assistant-1", AssistantTask.EarPicture, new Actor("clinician-1", "Maren Toft"), VerifiedHow.InPerson, day, day.AddDays(365), "steady hands", by),
            new SignOffWithdrawn(new Guid("0196f3a0-0000-7000-8000-0000000000b1"), "left the clinic", by),
            new RegistrationKept(new Guid("0196f3a0-0000-7000-8000-0000000000b2"), "clinician-1", "CA-NS", "A-1042", "Audiologist", day.AddDays(300), by),
            new RegistrationEnded(new Guid("0196f3a0-0000-7000-8000-0000000000b2"), "moved", by),
            new ForeignEventKept("event-1", "urn:epc:id:giai:0000000.1", "{}", "No kit has this number.", by),
        ];
    }
}
