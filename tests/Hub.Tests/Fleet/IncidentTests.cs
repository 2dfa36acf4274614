using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Fleet;

/// <summary>Incidents: what opens them, what they keep, when they may be closed.</summary>
public sealed class IncidentTests
{
    private readonly PureFleet _fleet = new();

    [Fact]
    public void AStolenKitOpensAnIncidentWithItsLoan()
    {
        _fleet.Hardware.Now = new DateTimeOffset(2026, 3, 11, 9, 0, 0, TimeSpan.Zero);
        var loan = _fleet.Sent(new DateOnly(2026, 3, 18));

        Assert.Null(_fleet.AskKit(new ReportKitGone(Stolen: true, "Taken out of the car.", MayHoldData: true)));

        var incident = Assert.Single(_fleet.View.Incidents);
        Assert.Equal((IncidentKind.Stolen, loan, true), (incident.Kind, incident.LoanId!.Value, incident.MayHoldData));
        Assert.Equal(LoanStanding.Gone, Assert.Single(_fleet.View.Past).Standing);
    }

    [Theory]
    [InlineData(true, 1)]
    [InlineData(false, 0)]
    public void TheLastStepOfTheLadderOpensABreachOnlyWhenASessionUsedTheKit(bool used, int incidents)
    {
        _fleet.Hardware.Now = new DateTimeOffset(2026, 3, 11, 9, 0, 0, TimeSpan.Zero);
        var loan = _fleet.Sent(new DateOnly(2026, 3, 18));
        if (used)
        {
            _fleet.Hardware.Happen([new KitTakenIntoUse(SessionId.New(), KitSamples.Coordinator)]);
        }

        _fleet.Hardware.Now = new DateTimeOffset(2026, 4, 23, 9, 0, 0, TimeSpan.Zero);
        Assert.Null(_fleet.AskKit(new TakeReminderStep(loan, "given-up", "No answer to the letter.")));

        Assert.Equal(incidents, _fleet.View.Incidents.Count);
        Assert.All(_fleet.View.Incidents, incident => Assert.Equal((IncidentKind.Breach, true), (incident.Kind, incident.MayHoldData)));
        Assert.Null(_fleet.AskKit(new ReportKitGone(Stolen: false, "Given up.", MayHoldData: used)));
        Assert.Single(_fleet.View.Incidents);
    }

    [Fact]
    public void ABreachIsClosedOnlyOnceInformationAndRiskAreRecorded()
    {
        var today = _fleet.Hardware.Today;
        Assert.Null(_fleet.Ask(new OpenIncident(IncidentKind.Breach, PureFleet.Kit, null, today, "A sheet lay in the case.", true)));
        var number = Assert.Single(_fleet.View.Incidents).Number;

        Assert.Equal(RefusalCodes.Invalid, _fleet.Ask(new CloseIncident(number, "shredded"))!.Code);
        Assert.Null(_fleet.Ask(new NoteIncident(number, "a name", IncidentRisk.Low, "the owner", today, null, "Sheet shredded.")));
        Assert.Null(_fleet.Ask(new CloseIncident(number, "shredded")));

        var incident = Assert.Single(_fleet.View.Incidents);
        Assert.Equal(("a name", IncidentRisk.Low, "the owner", "shredded"), (incident.Information, incident.Risk, incident.ReportedTo, incident.Outcome));
        Assert.NotNull(incident.ClosedAt);
        Assert.Equal(RefusalCodes.IncidentUnknown, _fleet.Ask(new NoteIncident(number, null, null, null, null, null, "late"))!.Code);
    }

    [Fact]
    public void DaysToComeAndLossesByHandAreRefused()
    {
        var today = _fleet.Hardware.Today;

        Assert.NotNull(_fleet.Ask(new OpenIncident(IncidentKind.NearMiss, null, null, today.AddDays(1), "Nearly.", false)));
        Assert.Contains("own page", _fleet.Ask(new OpenIncident(IncidentKind.Lost, PureFleet.Kit, null, today, "Gone.", false))!.Sentence, StringComparison.Ordinal);
        Assert.Equal(RefusalCodes.KitUnknown, _fleet.Ask(new OpenIncident(IncidentKind.Incident, new KitId("kit-99"), null, today, "Fell.", false))!.Code);
    }
}
