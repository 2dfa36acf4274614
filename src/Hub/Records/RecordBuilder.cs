using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.Plans;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Sessions.Views;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Records;

/// <summary>Makes the record from the events. Pure.</summary>
internal static class RecordBuilder
{
    /// <summary>Number of the record's shape.</summary>
    public const int Format = 2;

    public static SessionRecord Build(LoadedSession loaded)
    {
        var state = loaded.State;
        var history = state.History;
        var orders = history.Where(recorded => recorded.Event is StepOrdered)
            .GroupBy(recorded => ((StepOrdered)recorded.Event).Order.StepId)
            .ToDictionary(group => group.Key, group => group.First());
        return new SessionRecord(
            Format,
            state.SessionId,
            loaded.Plan.Person.Reference,
            loaded.Plan.Place,
            loaded.Plan.PlannedStart,
            loaded.Plan.KitId,
            state.Stage,
            state.StageReason,
            Visits(state),
            [.. history.Select(Confirmed).OfType<Attested>()],
            Consents(history),
            Results<KitCheckResult>(history, orders),
            Results<RoomResult>(history, orders),
            [.. Of<RoomAccepted>(history).Select(line => new Decided<AcceptRoom>(By(line.At, line.Event.By, line.Sequence), new AcceptRoom(line.Event.Reason)))],
            [.. Of<EarLookedAt>(history).Select(line => new Decided<RecordEarLook>(By(line.At, line.Event.By, line.Sequence), line.Event.Look))],
            Results<SideProofResult>(history, orders),
            ThresholdEvidenceBuilder.Of(state, orders),
            SessionViewBuilder.Averages(StandingThresholds.Of(state.Thresholds).Standing),
            Of<ReviewRecorded>(history).Select(line => new Decided<RecordReview>(By(line.At, line.Event.By, line.Sequence), line.Event.Review)).LastOrDefault(),
            Of<HandoffRecorded>(history).Select(line => new Decided<RecordHandoff>(By(line.At, line.Event.By, line.Sequence), line.Event.Handoff)).LastOrDefault(),
            [.. Of<NoteAdded>(history).Select(line => new NoteView(line.At, line.Event.By.Name, line.Event.Text))],
            loaded.Integrity,
            state.Version,
            Convert.ToHexStringLower(loaded.HeadHash))
        {
            SidesAccepted = [.. Of<SidesAccepted>(history).Select(line => new Decided<AcceptSides>(By(line.At, line.Event.By, line.Sequence), new AcceptSides(line.Event.Reason)))],
            Protocols = [.. Of<ProtocolChosen>(history).Select(line => new Decided<TestProtocol>(By(line.At, line.Event.By, line.Sequence), line.Event.Protocol))],
            PlanChanges = [.. Of<PlanChanged>(history).Select(line => new Decided<PlanOverride>(By(line.At, line.Event.By, line.Sequence), line.Event.Change))],
            Control = [.. history.Select(recorded => (recorded, Text: ControlViews.Sentence(recorded.Event))).Where(line => line.Text is not null).Select(line => new TimelineEntry(line.recorded.Sequence, line.recorded.At, line.Text!))],
            Reliability = SessionPlanning.Reliability(state),
            ConsentEntries = state.Consent.Entries,
        };
    }

    internal static Attested By(DateTimeOffset at, Actor actor, long sequence) => new(sequence, at, actor.Id, actor.Name);

    private static Attested? Confirmed(RecordedEvent recorded) => recorded.Event switch
    {
        IdentityConfirmed first => By(recorded.At, first.By, recorded.Sequence),
        StartCardConfirmed card => By(recorded.At, card.By, recorded.Sequence),
        _ => null,
    };

    internal static Attested? Orderer(Dictionary<StepId, RecordedEvent> orders, StepId stepId) =>
        orders.TryGetValue(stepId, out var recorded) ? By(recorded.At, ((StepOrdered)recorded.Event).By, recorded.Sequence) : null;

    private static IEnumerable<(long Sequence, DateTimeOffset At, TEvent Event)> Of<TEvent>(IEnumerable<RecordedEvent> history)
        where TEvent : SessionEvent =>
        history.Where(recorded => recorded.Event is TEvent).Select(recorded => (recorded.Sequence, recorded.At, (TEvent)recorded.Event));

    private static List<Evidence<TResult>> Results<TResult>(IEnumerable<RecordedEvent> history, Dictionary<StepId, RecordedEvent> orders)
        where TResult : StepResult =>
        [.. Of<StepOver>(history)
            .Where(line => line.Event.Result is TResult)
            .Select(line => new Evidence<TResult>(line.Sequence, line.At, Orderer(orders, line.Event.StepId), (TResult)line.Event.Result!))];

    private static List<ConsentHeld> Consents(IEnumerable<RecordedEvent> history)
    {
        var held = new List<ConsentHeld>();
        foreach (var recorded in history)
        {
            var ends = recorded.Event is ConsentGiven or ConsentWithdrawn;
            if (ends && held.Count > 0 && held[^1].EndedAt is null)
            {
                held[^1] = held[^1] with { EndedAt = recorded.At, WithdrawnReason = (recorded.Event as ConsentWithdrawn)?.Reason };
            }

            if (recorded.Event is ConsentGiven given)
            {
                held.Add(new ConsentHeld(By(recorded.At, given.By, recorded.Sequence), given.Consent, null, null));
            }
        }

        return held;
    }

    private static List<StageVisit> Visits(SessionState final)
    {
        var visits = new List<StageVisit>();
        var state = SessionState.Empty(final.SessionId);
        foreach (var recorded in final.History)
        {
            var next = SessionFold.Apply(state, recorded);
            if (visits.Count == 0 || next.Stage != state.Stage)
            {
                if (visits.Count > 0)
                {
                    visits[^1] = visits[^1] with { Until = recorded.At };
                }

                visits.Add(new StageVisit(next.Stage, recorded.At, null, next.StageReason));
            }

            state = next;
        }

        return visits;
    }
}
