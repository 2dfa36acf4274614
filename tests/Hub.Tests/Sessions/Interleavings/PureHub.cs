using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions.Interleavings;

/// <summary>The hub's rules of a command without its disk: the rights table, the deciders, the fold. The memory of ids is the store's and is tried with it.</summary>
internal sealed class PureHub(SessionState[] states) : IHubAtHand
{
    public static DateTimeOffset Start { get; } = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);

    private static readonly PersonCaller[] _known = [PureSession.Maren, PureSession.Ivo, PureSession.Ada];
    private long _reports;

    public DateTimeOffset Now { get; private set; } = Start;

    public Task<(bool Carried, StepOrder? Order)> Send(CommandEnvelope envelope, PersonCaller by) => Task.FromResult(Carry(envelope, by));

    public void End(int session, StepId step) => Happened(session, ((Decided)KitReportDecider.Decide(
        states[session],
        new JournaledReport(++_reports, states[session].SessionId, _reports, new StepEnded(step, StepEnding.Completed, null, null, null)),
        Facts)).Events);

    public bool Pass(TimeSpan time, int session, bool silent, bool lenderSilent)
    {
        Now += time;
        var life = TimeSpan.FromSeconds(45);
        if (ControlDecider.Due(states[session], states[session].Epoch, new Unheard(For(silent), For(lenderSilent)), life, Facts) is { } due)
        {
            Happened(session, due.Events);
        }

        return true;

        TimeSpan For(bool unheard) => unheard ? life + TimeSpan.FromSeconds(1) : TimeSpan.Zero;
    }

    private SessionFacts Facts => new(Now, true, false, TimeSpan.FromMinutes(10));

    private (bool Carried, StepOrder? Order) Carry(CommandEnvelope envelope, PersonCaller by)
    {
        var request = new AskCommand(envelope, by);
        if (RightsTable.Refusal(by, request.Door) is not null)
        {
            return (false, null);
        }

        var index = Array.FindIndex(states, state => state.SessionId == envelope.SessionId);
        var named = envelope.Command switch { GrantControl grant => grant.ToPersonId, OfferControl offer => offer.ToPersonId, LendControl lend => lend.ToPersonId, _ => null };
        var context = new DecisionContext(Facts, (long)(Now - Start).TotalMilliseconds, TimeSpan.FromSeconds(5), StepId.New(), 7)
        {
            Named = _known.Where(person => person.Id == named).Select(person => new NamedPerson(person.Id, person.Name, person.Roles)).SingleOrDefault(),
        };
        if (SessionDecider.Decide(states[index], envelope, by, context) is not Decided decided)
        {
            return (false, null);
        }

        Happened(index, decided.Events);
        return (true, decided.Effects.OfType<CarryStep>().SingleOrDefault()?.Order);
    }

    private void Happened(int index, IReadOnlyList<SessionEvent> events)
    {
        foreach (var happened in events)
        {
            states[index] = SessionFold.Apply(states[index], new RecordedEvent(states[index].Version + 1, Now, happened));
        }
    }
}
