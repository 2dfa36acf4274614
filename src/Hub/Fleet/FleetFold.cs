using TeleHearing.Contracts;
using TeleHearing.Hub.Practice;

namespace TeleHearing.Hub.Fleet;

/// <summary>Folds facts of the fleet into what they come to. Pure and total: a fact that fits nothing changes nothing.</summary>
internal static class FleetFold
{
    public static FleetState Apply(FleetState state, RecordedFleetFact recorded)
    {
        var at = recorded.At;
        var next = recorded.Fact switch
        {
            LoanRequested asked => state with { Loans = state.Loans.SetItem(asked.Request.LoanId, new FleetLoan(asked.Request, asked.By.Name, at)) },
            LoanWithdrawn gone => Loan(state, gone.LoanId, loan => loan with { WithdrawnBecause = gone.Reason }),
            LoanPlaced placed => Loan(state, placed.LoanId, loan => loan with { KitId = placed.KitId, From = placed.From, DueBack = placed.DueBack, BookableFrom = placed.BookableFrom }),
            LoanSwapped swapped => Loan(state, swapped.LoanId, loan => loan with { SwappedFor = swapped.NewLoanId }),
            LoanProlonged longer => Loan(state, longer.LoanId, loan => loan with { DueBack = longer.DueBack, BookableFrom = longer.BookableFrom }),
            CalendarWasSet set => state with { Calendars = state.Calendars.Remove(set.Calendar.Region).Add(set.Calendar.Region, set.Calendar) },
            TermsWereSet set => state with { Terms = set.Terms },
            IncidentOpened opened => state with { Incidents = state.Incidents.SetItem(recorded.Sequence, Opened(recorded.Sequence, at, opened)) },
            IncidentNoted noted => Incident(state, noted.Incident, incident => Noted(incident, at, noted)),
            IncidentClosed closed => Incident(state, closed.Incident, incident => incident with { ClosedAt = at, Outcome = closed.Outcome }),
            ErrandPlanned planned => state with { Errands = state.Errands.Add(new ErrandView(planned.ErrandId, planned.Laboratory, planned.Kits, planned.LeavesOn, planned.BackOn, null, null)) },
            ErrandFinished finished => Errand(state, at, finished),
            ForeignEventKept kept => state with { Foreign = state.Foreign.Add((at, kept)) },
            IPracticeFact practice => state with { Practice = PracticeFold.Apply(state.Practice, practice) },
            _ => state,
        };
        return next with { Version = recorded.Sequence, LastAt = at, History = state.History.Add(recorded) };
    }

    private static FleetState Loan(FleetState state, LoanId loanId, Func<FleetLoan, FleetLoan> change) =>
        state.Loans.TryGetValue(loanId, out var loan) ? state with { Loans = state.Loans.SetItem(loanId, change(loan)) } : state;

    private static FleetState Incident(FleetState state, long number, Func<IncidentView, IncidentView> change) =>
        state.Incidents.TryGetValue(number, out var incident) ? state with { Incidents = state.Incidents.SetItem(number, change(incident)) } : state;

    private static FleetState Errand(FleetState state, DateTimeOffset at, ErrandFinished finished)
    {
        var index = state.Errands.FindIndex(errand => errand.ErrandId == finished.ErrandId);
        return index < 0 ? state : state with { Errands = state.Errands.SetItem(index, state.Errands[index] with { FinishedAt = at, GivenUpBecause = finished.GivenUpBecause }) };
    }

    private static IncidentView Opened(long number, DateTimeOffset at, IncidentOpened opened) => new(
        number, opened.Kind, opened.KitId, opened.LoanId, at, opened.By.Name, opened.HappenedOn, opened.Circumstances, opened.MayHoldData, null, null, null, null, null, [], null, null);

    private static IncidentView Noted(IncidentView incident, DateTimeOffset at, IncidentNoted noted) => incident with
    {
        Information = noted.Information ?? incident.Information,
        Risk = noted.Risk ?? incident.Risk,
        ReportedTo = noted.ReportedTo ?? incident.ReportedTo,
        ReportedOn = noted.ReportedOn ?? incident.ReportedOn,
        NotifiedOn = noted.NotifiedOn ?? incident.NotifiedOn,
        Notes = noted.Note is { } note ? [.. incident.Notes, new IncidentNoteView(at, noted.By.Name, note)] : incident.Notes,
    };
}
