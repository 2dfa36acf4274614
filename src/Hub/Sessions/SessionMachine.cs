using Stateless;
using Stateless.Graph;
using Stateless.Reflection;
using TeleHearing.Audiology;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Start;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions;

/// <summary>The session's rules of movement, all in one place. Made per question around the folded state, asked, and thrown away; it changes nothing itself.</summary>
internal sealed class SessionMachine
{
    private const string KitOnline = "The kit is within reach";
    private const string NoStepRunning = "The step in hand is over (wait for it or cut it)";
    private const string StepInHand = "A step is in hand";
    private const string CareCovered = "Consent to the hearing test (step back to consent)";
    private const string RemoteCovered = "Consent to doing it at a distance (step back to consent)";
    private const string AssistantCovered = "Consent to an assistant being present (record the answer)";
    private const string RecordingCovered = "Consent to recording (record the answer)";
    private const string QuestionAnswered = "The question of consent on the kit's screen is answered (there, or record the answer)";
    private const string RecordingEnded = "The recording is ended, for consent to it was taken back (end it and say so)";
    private const string RoomMeasured = "The room is measured (measure it now)";
    private const string SidesProven = "The sides are proven (step back to side proof)";
    private const string BothEarsSafe = "Both ears are safe to cover";
    private const string Uncontrolled = "Control is given up by whoever holds it";
    private const string Controlled = "Somebody is in control";
    private const string Asked = "A colleague has asked for control";
    private const string Offered = "Control is offered to somebody";
    private const string Lent = "Control is lent for a task";
    private const string NotLent = "Control that was lent is back";
    private const string HandoffOpen = "A handoff waits to be acknowledged";
    private const string KitFree = "The kit is free (close its other open session)";
    private const string ProtocolChosen = "A protocol is chosen";
    private const string CardStands = "Who is there and where is confirmed by whoever leads, and since the last long gap (confirm the start card)";
    private const string CardThere = "The start card was filled in at \"who and where\"";
    private const string ConsentToWithdraw = "Consent is given now";

    private static readonly Dictionary<string, string> _codes = new()
    {
        [KitOnline] = RefusalCodes.KitOffline,
        [NoStepRunning] = RefusalCodes.StepRunning,
        [CareCovered] = RefusalCodes.ConsentMissing,
        [RemoteCovered] = RefusalCodes.ConsentMissing,
        [AssistantCovered] = RefusalCodes.ConsentMissing,
        [RecordingCovered] = RefusalCodes.ConsentMissing,
        [RecordingEnded] = RefusalCodes.ConsentMissing,
        [CardStands] = RefusalCodes.CardNotConfirmed,
        [ConsentToWithdraw] = RefusalCodes.ConsentMissing,
        [Uncontrolled] = RefusalCodes.ControlHeld,
    };

    private readonly SessionState _state;
    private readonly SessionFacts _facts;
    private readonly SessionTrigger? _only;
    private readonly StateMachine<SessionStage, SessionTrigger> _machine;

    /// <param name="state">The session.</param>
    /// <param name="facts">What is known beside it.</param>
    /// <param name="only">The one thing it will be asked about; absent when it will be asked about any. What nobody asks is not put together, for a command waits for that.</param>
    public SessionMachine(SessionState state, SessionFacts facts, SessionTrigger? only = null)
    {
        _state = state;
        _facts = facts;
        _only = only;
        _machine = new StateMachine<SessionStage, SessionTrigger>(() => state.Stage, _ => throw new InvalidOperationException("The machine is asked, never moved."));

        // It is asked about the stage the session is at and about no other.
        Configure(state.Stage);
    }

    /// <inheritdoc cref="WhyNot(SessionTrigger)"/>
    public static Refusal? WhyNot(SessionState state, SessionFacts facts, SessionTrigger trigger) => new SessionMachine(state, facts, trigger).WhyNot(trigger);

    /// <summary>Whether something is permitted now.</summary>
    /// <returns>Null when it is; otherwise a refusal that names everything in the way.</returns>
    public Refusal? WhyNot(SessionTrigger trigger)
    {
        if (_only is { } only && only != trigger)
        {
            throw new ArgumentOutOfRangeException(nameof(trigger), trigger, $"This machine was made to be asked about {only} alone.");
        }

        if (_machine.CanFire(trigger, out var unmet))
        {
            return null;
        }

        if (Stages.IsOver(_state.Stage) && trigger is not (SessionTrigger.AcknowledgeHandoff or SessionTrigger.WithdrawConsent))
        {
            return new Refusal(RefusalCodes.SessionOver, $"The session is over ({Stages.InWords(_state.Stage)}).", "Plan a new session.");
        }

        if (unmet is not { Count: > 0 })
        {
            return new Refusal(RefusalCodes.StageDoesNotAllow, $"This cannot be done now: the session is at \"{Stages.InWords(_state.Stage)}\".", Stages.IsWorking(_state.Stage) ? "Move the session to the stage it belongs to." : "Bring the session back first.");
        }

        if (unmet.Contains(StepInHand))
        {
            return new Refusal(RefusalCodes.NoStep, "There is nothing to cut: no step is in hand.", "Nothing needs to be done.");
        }

        var code = unmet.Select(reason => _codes.GetValueOrDefault(reason)).FirstOrDefault(found => found is not null) ?? RefusalCodes.GateNotMet;
        return new Refusal(code, $"Still needed: {string.Join("; ", unmet)}.", "Supply what is missing, then ask again.");
    }

    /// <summary>The machine with all its stages as a Mermaid state diagram.</summary>
    public static string Diagram(SessionState state, SessionFacts facts)
    {
        var machine = new SessionMachine(state, facts);
        foreach (var stage in Enum.GetValues<SessionStage>().Where(stage => stage != state.Stage))
        {
            machine.Configure(stage);
        }

        return MermaidGraph.Format(machine._machine.GetInfo());
    }

    private void Configure(SessionStage stage)
    {
        if (stage == SessionStage.Scheduled)
        {
            Move(_machine.Configure(stage), SessionTrigger.TakeControl, SessionStage.Connecting, Is(_state.Holder is null, Uncontrolled), Is(!_facts.KitBusyElsewhere, KitFree));
        }
        else if (Stages.IsOver(stage))
        {
            Allow(_machine.Configure(stage), SessionTrigger.AcknowledgeHandoff, Is(_state.OpenHandoff is not null, HandoffOpen));

            // What was agreed about sharing and keeping can be taken back for as long as anything is kept.
            Allow(_machine.Configure(stage), SessionTrigger.WithdrawConsent, Is(_state.Consent.AnyGiven, ConsentToWithdraw));
        }
        else if (Stages.IsWorking(stage))
        {
            ConfigureWorking(stage);
            ConfigureWork(stage);
        }
        else
        {
            ConfigureSide(stage);
        }
    }

    /// <summary>What every stage from Connecting to Handoff allows.</summary>
    private void ConfigureWorking(SessionStage stage)
    {
        var configuration = Everywhere(stage);
        if (Wants(SessionTrigger.Advance))
        {
            Move(configuration, SessionTrigger.Advance, stage + 1, [Is(!_state.StepInHand, NoStepRunning), .. GateNeeds.Of(stage, _state, _facts).Select(need => Is(need.Met, need.Text))]);
        }

        Move(configuration, SessionTrigger.Hold, SessionStage.Paused);
        Move(configuration, SessionTrigger.ControlLapsed, SessionStage.Paused, Is(_state.Holder is not null, Controlled));
        if (stage > SessionStage.Connecting)
        {
            // Connecting is where the session waits for the kit, so a kit out of reach is no event there.
            Move(configuration, SessionTrigger.StepBack, stage - 1, Is(!_state.StepInHand, NoStepRunning));
            Move(configuration, SessionTrigger.LinkLost, SessionStage.LinkLost);
        }
    }

    /// <summary>What Paused, LinkLost and Stopped allow.</summary>
    private void ConfigureSide(SessionStage stage)
    {
        var configuration = Everywhere(stage);
        if (stage == SessionStage.LinkLost)
        {
            Return(configuration, SessionTrigger.LinkRestored);
            Move(configuration, SessionTrigger.Hold, SessionStage.Paused);
            Move(configuration, SessionTrigger.ControlLapsed, SessionStage.Paused, Is(_state.Holder is not null, Controlled));
        }
        else
        {
            Allow(configuration, SessionTrigger.ControlLapsed, Is(_state.Holder is not null, Controlled));
            Return(configuration, SessionTrigger.Resume);
        }
    }

    /// <summary>What every open stage allows.</summary>
    private StateMachine<SessionStage, SessionTrigger>.StateConfiguration Everywhere(SessionStage stage)
    {
        var configuration = _machine.Configure(stage);
        Allow(configuration, SessionTrigger.TakeControl, Is(_state.Holder is null, Uncontrolled));
        Allow(configuration, SessionTrigger.ReleaseControl, Is(_state.Holder is not null, Controlled), Is(!_state.StepInHand, NoStepRunning));
        ConfigureControl(configuration);
        Allow(configuration, SessionTrigger.AddNote);
        Allow(configuration, SessionTrigger.SayOnScreen);
        Allow(configuration, SessionTrigger.DeclareRecording, Is(_state.Recording is not null || Covers(ConsentPurpose.Recording), RecordingCovered));

        // The person moves to another room, somebody comes in: the card is put right wherever the session stands.
        Allow(configuration, SessionTrigger.ConfirmIdentity, Is(stage == SessionStage.Identity || _state.Identity is not null, CardThere));
        Allow(configuration, SessionTrigger.CutStep, Is(_state.StepInHand, StepInHand));
        Move(configuration, SessionTrigger.Abort, SessionStage.Aborted);
        Move(configuration, SessionTrigger.Convert, SessionStage.Converted);
        if (stage == SessionStage.Stopped)
        {
            // A second stop is a fact for the history; the session is stopped already.
            Allow(configuration, SessionTrigger.StopPressed);
            Allow(configuration, SessionTrigger.WithdrawConsent, Is(_state.Consent.AnyGiven, ConsentToWithdraw));
        }
        else
        {
            // Taking back what testing does not rest on leaves the stage as it is; see ConsentDecider.
            Move(configuration, SessionTrigger.StopPressed, SessionStage.Stopped);
            Move(configuration, SessionTrigger.WithdrawConsent, SessionStage.Stopped, Is(_state.Consent.AnyGiven, ConsentToWithdraw));
        }

        return configuration;
    }

    /// <summary>How control changes hands. Taking over and taking back cut what is in hand; everything agreed between two people waits until it is over.</summary>
    private void ConfigureControl(StateMachine<SessionStage, SessionTrigger>.StateConfiguration configuration)
    {
        var (controlled, quiet, own) = (Is(_state.Holder is not null, Controlled), Is(!_state.StepInHand, NoStepRunning), Is(_state.Control.Loan is null, NotLent));
        var (asked, offered, lent) = (Is(!_state.Control.Asks.IsEmpty, Asked), Is(_state.Control.Offer is not null, Offered), Is(_state.Control.Loan is not null, Lent));
        Allow(configuration, SessionTrigger.RequestControl, controlled);
        Allow(configuration, SessionTrigger.GrantControl, asked, own, quiet);
        Allow(configuration, SessionTrigger.DeclineControl, asked);
        Allow(configuration, SessionTrigger.TakeOverControl, controlled);
        Allow(configuration, SessionTrigger.OfferControl, controlled, own);
        Allow(configuration, SessionTrigger.AcceptControl, offered, quiet);
        Allow(configuration, SessionTrigger.EndOffer, offered);
        Allow(configuration, SessionTrigger.LendControl, controlled, own, quiet, Is(Covers(ConsentPurpose.Assistant), AssistantCovered));
        Allow(configuration, SessionTrigger.GiveBackControl, lent, quiet);
        Allow(configuration, SessionTrigger.TakeBackControl, lent);
    }

    /// <summary>What belongs to one stage alone.</summary>
    private void ConfigureWork(SessionStage stage)
    {
        var here = _machine.Configure(stage);
        var step = new[] { Is(_facts.KitOnline, KitOnline), Is(!_state.StepInHand, NoStepRunning), Is(Covers(ConsentPurpose.Care), CareCovered), Is(Covers(ConsentPurpose.RemoteMode), RemoteCovered), Is(NothingRecordedUnasked, RecordingEnded), Is(_state.ConsentAsked is null, QuestionAnswered), Is(StartCards.AgainBecause(_state) is null, CardStands) };
        var gear = step.Append(Is(Covers(ConsentPurpose.Assistant), AssistantCovered)).ToArray();
        if (stage >= SessionStage.Consent)
        {
            Allow(here, SessionTrigger.AnswerConsent);
            Allow(here, SessionTrigger.AskConsentOnScreen, Is(_facts.KitOnline, KitOnline), Is(!_state.StepInHand, NoStepRunning));
        }

        switch (stage)
        {
            case SessionStage.KitCheck:
                Allow(here, SessionTrigger.CheckKit, step);
                break;
            case SessionStage.RoomNoise:
                Allow(here, SessionTrigger.MeasureRoom, step);
                Allow(here, SessionTrigger.AcceptRoom, Is(_state.Room is not null, "The room noise is measured, or cannot be with this kit"));
                break;
            case SessionStage.EarLook:
                Allow(here, SessionTrigger.RecordEarLook);
                break;
            case SessionStage.SideProof:
                // A kit that was left with the vibrator on plays nothing by air until the earphones are marked as worn again.
                Allow(here, SessionTrigger.WearGear, gear);
                Allow(here, SessionTrigger.ProveSides, [.. step, Is(_state.IsSafe(Ear.Right) && _state.IsSafe(Ear.Left), BothEarsSafe)]);
                Allow(here, SessionTrigger.AcceptSides, Is(_state.SideProof?.OnlyAt is not null, "One ear answered every tone rightly and the other none"));
                break;
            case SessionStage.Testing:
                ConfigureTesting(here, step, gear);
                break;
            case SessionStage.Review:
                Allow(here, SessionTrigger.RecordReview);
                break;
            case SessionStage.Handoff:
                Allow(here, SessionTrigger.RecordHandoff);
                Allow(here, SessionTrigger.AcknowledgeHandoff, Is(_state.OpenHandoff is not null, HandoffOpen));
                break;
        }
    }

    private void ConfigureTesting(StateMachine<SessionStage, SessionTrigger>.StateConfiguration testing, Tuple<Func<bool>, string>[] step, Tuple<Func<bool>, string>[] gear)
    {
        var proven = new Lazy<bool>(SidesAreProven);
        var tone = step.Concat([Is(_state.Room is not null, RoomMeasured), Tuple.Create(() => proven.Value, SidesProven)]).ToArray();
        Allow(testing, SessionTrigger.MeasureRoom, step);
        Allow(testing, SessionTrigger.PresentTone, tone);
        Allow(testing, SessionTrigger.SearchThreshold, tone);
        Allow(testing, SessionTrigger.SearchEar, tone);
        Allow(testing, SessionTrigger.MeasurePart, [.. tone, Is(_state.Protocol is not null, ProtocolChosen)]);
        Allow(testing, SessionTrigger.WearGear, gear);
        Allow(testing, SessionTrigger.ChooseProtocol, Is(!_state.StepInHand, NoStepRunning));
        Allow(testing, SessionTrigger.ChangePlan, Is(!_state.StepInHand, NoStepRunning), Is(_state.Protocol is not null, ProtocolChosen));
    }

    private bool NothingRecordedUnasked => _state.Recording is null || Covers(ConsentPurpose.Recording);

    private bool Covers(ConsentPurpose purpose) => _state.Consent.Covers(purpose);

    private bool SidesAreProven() => GateNeeds.Of(SessionStage.SideProof, _state, _facts).All(need => need.Met);

    private SessionStage BackToTheLine() => ReturnPoint.Of(_state, _facts).Stage;

    private static DynamicStateInfos BackDestinations()
    {
        var infos = new DynamicStateInfos();
        foreach (var stage in Stages.Working)
        {
            infos.Add(stage, "it was the last confirmed stage");
        }

        return infos;
    }

    private bool Wants(SessionTrigger trigger) => _only is null || _only == trigger;

    /// <summary>Permits something that leaves the stage as it is.</summary>
    private void Allow(StateMachine<SessionStage, SessionTrigger>.StateConfiguration configuration, SessionTrigger trigger, params Tuple<Func<bool>, string>[] guards)
    {
        if (Wants(trigger))
        {
            configuration.PermitReentryIf(trigger, guards);
        }
    }

    /// <summary>Permits something that brings the session to another stage.</summary>
    private void Move(StateMachine<SessionStage, SessionTrigger>.StateConfiguration configuration, SessionTrigger trigger, SessionStage to, params Tuple<Func<bool>, string>[] guards)
    {
        if (!Wants(trigger))
        {
            return;
        }

        if (guards.Length == 0)
        {
            configuration.Permit(trigger, to);
        }
        else
        {
            configuration.PermitIf(trigger, to, guards);
        }
    }

    /// <summary>Permits something that brings the session back to where it was.</summary>
    private void Return(StateMachine<SessionStage, SessionTrigger>.StateConfiguration configuration, SessionTrigger trigger)
    {
        if (Wants(trigger))
        {
            configuration.PermitDynamicIf(trigger, BackToTheLine, () => _facts.KitOnline, KitOnline, BackDestinations());
        }
    }

    private static Tuple<Func<bool>, string> Is(bool holds, string description) => new(() => holds, description);
}
