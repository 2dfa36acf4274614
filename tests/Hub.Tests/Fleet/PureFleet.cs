using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Fleet.Incidents;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Fleet;

/// <summary>A fleet in memory with one kit that is ruled by its own decider: facts are decided and folded as the hub does it.</summary>
internal sealed class PureFleet
{
    public static readonly KitId Kit = new("kit-01");

    public PureFleet()
    {
        Hardware.Now = new DateTimeOffset(2026, 3, 2, 9, 0, 0, TimeSpan.Zero);
        Hardware.Tell(KitSamples.Gear(new DateOnly(2026, 2, 20)));
        Hardware.Ask(KitSamples.Function(passed: true));
    }

    public PureKit Hardware { get; } = new();

    public FleetState State { get; private set; } = FleetState.Empty;

    public List<PlannedSession> Sessions { get; } = [];

    public bool CaresForKits { get; set; } = true;

    public FleetKit KitNow => FleetKits.Of(new KitEntity { KitId = Kit.Value, Label = "loan kit", Where = "shelf" }, Hardware.State, Hardware.Today);

    public FleetContext Context => new(
        Hardware.Now,
        Hardware.Today,
        Sessions,
        [KitNow],
        (kitId, command) => kitId == Kit ? KitDecider.Decide(Hardware.State, command, KitSamples.Coordinator, Hardware.Context) : null,
        CaresForKits);

    public FleetView View => FleetViewBuilder.Build(new LoadedFleet(State, new IntegrityView(true, null), []), Context);

    public PlannedSession Session(DateTimeOffset start)
    {
        var session = new PlannedSession(SessionId.New(), start, "at home, kit posted", Kit);
        Sessions.Add(session);
        return session;
    }

    public static RequestLoan Request(params DateOnly[] days) => new(
        LoanId.New(), [], days, "Mill Lane 4", FleetCalendar.Clinic, "America/Halifax", [TransducerKind.Circumaural], LoanUrgency.Ordinary, null);

    public Refusal? Ask(FleetCommand command)
    {
        var decision = FleetDecider.Decide(State, command, KitSamples.Coordinator, Context);
        Assert.True(decision.Refusal is null || (decision.Facts.Count == 0 && decision.KitFacts.Count == 0), "A refusal records nothing.");
        Happen(decision.Facts);
        foreach (var (_, facts) in decision.KitFacts)
        {
            Hardware.Happen(facts);
        }

        return decision.Refusal;
    }

    public Refusal? AskKit(KitCommand command)
    {
        var decision = KitDecider.Decide(Hardware.State, command, KitSamples.Coordinator, Hardware.Context);
        Happen(FleetFollowUps.Of(KitNow, decision.Facts, State, Hardware.Today, KitSamples.Coordinator));
        Hardware.Happen(decision.Facts);
        return decision.Refusal;
    }

    /// <summary>Records something of the fleet as if it had been decided.</summary>
    public void Record(FleetFact fact) => Happen([fact]);

    public LoanId Placed(params DateOnly[] days)
    {
        var request = Request(days);
        Assert.Null(Ask(request));
        Assert.Null(Ask(new PlaceLoan(request.LoanId, Kit)));
        return request.LoanId;
    }

    public LoanId Sent(params DateOnly[] days)
    {
        var loan = Placed(days);
        Assert.Null(AskKit(new SignLoanPaper(loan, "R. Hale")));
        Assert.Null(AskKit(new PackKit(loan, [], null, null)));
        Assert.Null(AskKit(new SendKit(loan, "T-1", Hardware.Today, EntryMeans.Typed)));
        return loan;
    }

    private void Happen(IReadOnlyList<FleetFact> facts)
    {
        foreach (var fact in facts)
        {
            // As a hub that stores and reads it again.
            var (name, shape, payload) = FleetFactCatalog.Write(fact);
            State = FleetFold.Apply(State, new RecordedFleetFact(State.Version + 1, Hardware.Now, FleetFactCatalog.Read(name, shape, payload)));
        }
    }
}
