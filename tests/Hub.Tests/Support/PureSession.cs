using TeleHearing.Audiology;
using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>A session without disk or network: decides and folds.</summary>
internal sealed class PureSession
{
    public static readonly PersonCaller Maren = new("maren", "Maren Toft", [Roles.Clinician]);
    public static readonly PersonCaller Ivo = new("ivo", "Ivo Lindqvist", [Roles.Clinician]);
    public static readonly PersonCaller Ada = new("ada", "Ada Wiksell", [Roles.Assistant]);
    private long _kitSequence;

    public PureSession()
    {
        Happened(new SessionScheduled("P-0001", "at home", default, new KitId("kit-01"), "maren"));
    }

    public SessionState State { get; private set; } = SessionState.Empty(SessionId.New());

    public DateTimeOffset Now { get; set; } = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);

    public bool KitOnline { get; set; } = true;

    public SessionFacts Facts => new(Now, KitOnline, false, TimeSpan.FromMinutes(10));

    public DecisionContext Context => new(Facts, 5000, TimeSpan.FromSeconds(5), StepId.New(), 7) { ConsentTexts = ShippedConsentTexts.All };

    public CommandEnvelope Envelope(SessionCommand command) => new(Protocol.Version, CommandId.New(), State.SessionId, State.Epoch, State.Version, Now.AddSeconds(30), command);

    public Decision Decide(SessionCommand command, PersonCaller? by = null) => SessionDecider.Decide(State, Envelope(command), by ?? Maren, ContextOf(command));

    /// <summary>Tasks for which assistants have no sign-off in date.</summary>
    public IReadOnlyList<AssistantTask> NotSignedOff { get; set; } = [];

    public DecisionContext ContextOf(SessionCommand command) => Context with { Named = Person(command), NotSignedOff = NotSignedOff };

    /// <summary>What the hub does by itself when a console is silent or a loan is over.</summary>
    public void Due(TimeSpan silentFor, TimeSpan lenderSilentFor = default)
    {
        if (ControlDecider.Due(State, State.Epoch, new Unheard(silentFor, lenderSilentFor), TimeSpan.FromSeconds(45), Facts) is { } due)
        {
            Happened(due.Events);
        }
    }

    /// <summary>Ids of people whose accounts are closed.</summary>
    public List<string> Closed { get; } = [];

    private NamedPerson? Person(SessionCommand command)
    {
        var id = command switch { GrantControl grant => grant.ToPersonId, AcknowledgeHandoff => State.OpenHandoff?.PersonId, OfferControl offer => offer.ToPersonId, LendControl lend => lend.ToPersonId, RecordHandoff handoff => handoff.Owner?.PersonId, _ => null };
        return new[] { Maren, Ivo, Ada }.Where(person => person.Id == id && !Closed.Contains(person.Id)).Select(person => new NamedPerson(person.Id, person.Name, person.Roles)).SingleOrDefault();
    }

    public Decision Ask(SessionCommand command, PersonCaller? by = null)
    {
        var decision = Decide(command, by);

        // What cuts goes ahead of all else, so the list of what silences must know it.
        Assert.True(decision is not Hub.Sessions.Decisions.Decided cuts || !cuts.Effects.Any(effect => effect is EndStep) || Silencing.Silences(command), $"{command.GetType().Name} cuts and is not counted as silence.");
        return Take(decision);
    }

    public Refusal Refusal(SessionCommand command, PersonCaller? by = null) => Assert.IsType<Refused>(Ask(command, by)).Refusal;

    public Hub.Sessions.Decisions.Decided Must(SessionCommand command, PersonCaller? by = null) => Assert.IsType<Hub.Sessions.Decisions.Decided>(Ask(command, by));

    public Decision Report(KitReport report) => Take(KitReportDecider.Decide(State, new JournaledReport(++_kitSequence, State.SessionId, _kitSequence, report), Facts));

    public void Happened(params IEnumerable<SessionEvent> events)
    {
        foreach (var happened in events)
        {
            State = SessionFold.Apply(State, new RecordedEvent(State.Version + 1, Now, happened));
        }
    }

    public void LoseLink()
    {
        KitOnline = false;
        Happened(LinkDecider.Lost(State, Facts));
    }

    public void Greet(StepId? unfinished = null, params StepId[] seen)
    {
        KitOnline = true;
        Happened(LinkDecider.Greeted(State, new KitHello(1, "1", JournalId.New(), 0, unfinished, seen), Facts));
    }

    /// <summary>Orders a step and lets the kit complete it.</summary>
    public void Step(StepRequest request, StepResult? result)
    {
        var step = Must(new OrderStep(request, false)).StepId!.Value;
        Report(new StepStarted(step));
        if (request is SearchThresholdStep search)
        {
            Report(new ThresholdFound(Samples.Threshold(step, search.Ear, search.FrequencyHz)));
        }

        Report(new StepEnded(step, StepEnding.Completed, null, null, result));
    }

    /// <summary>Supplies what the current stage needs.</summary>
    public void Supply()
    {
        switch (State.Stage)
        {
            case SessionStage.Identity:
                Must(Samples.Identity);
                break;
            case SessionStage.Consent:
                Must(Samples.Consent);
                break;
            case SessionStage.KitCheck:
                Step(new CheckKitStep(), Samples.KitCheck);
                Report(new AssistantDone(SessionStage.KitCheck));
                break;
            case SessionStage.RoomNoise:
                Step(new MeasureRoomStep(10), Samples.QuietRoom);
                break;
            case SessionStage.EarLook:
                Must(Samples.Clear(Ear.Right));
                Must(Samples.Clear(Ear.Left));
                break;
            case SessionStage.SideProof:
                Step(new ProveSidesStep(4, 1000, 50), Samples.SidesRight);
                break;
            case SessionStage.Testing:
                Step(new SearchThresholdStep(Ear.Right, 1000, Audiology.PureTone.StoppingRule.TwoOfThree, Audiology.Signals.ToneShape.Steady), null);
                break;
            case SessionStage.Review:
                Must(Samples.Review);
                break;
            case SessionStage.Handoff:
                // To somebody outside only with consent to sharing.
                Must(State.Consent.Covers(ConsentPurpose.Sharing) ? Samples.Handoff : Samples.Handoff with { Owner = null });
                Report(new AssistantDone(SessionStage.Handoff));
                break;
        }
    }

    /// <summary>A session at a stage of the main line.</summary>
    public static PureSession At(SessionStage stage, bool supplied = false)
    {
        var session = new PureSession();
        if (stage > SessionStage.Scheduled)
        {
            session.Must(new TakeControl());
        }

        while (session.State.Stage != stage)
        {
            session.Supply();
            session.Must(new Advance());
        }

        if (supplied && stage > SessionStage.Connecting)
        {
            session.Supply();
        }

        return session;
    }

    private Decision Take(Decision decision)
    {
        if (decision is Hub.Sessions.Decisions.Decided decided)
        {
            Happened(decided.Events);
        }

        return decision;
    }
}
