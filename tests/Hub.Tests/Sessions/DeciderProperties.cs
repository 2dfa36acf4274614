using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.Start;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Sessions.Views;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>Whatever is asked and reported in whatever order, the rules hold.</summary>
public sealed class DeciderProperties
{
    private static readonly Action<PureSession>[] _moves =
    [
        s => s.Ask(new TakeControl()),
        s => s.Ask(new TakeControl(), PureSession.Ivo),
        s => s.Ask(new ReleaseControl()),
        s => s.Ask(new Advance()),
        s => s.Ask(new Advance()),
        s => s.Ask(new Advance()),
        s => s.Ask(new StepBack()),
        s => s.Ask(new Hold(null)),
        s => s.Ask(new Resume("note")),
        s => s.Ask(new Resume("note")),
        s => s.Ask(new Resume("note")),
        s => s.Ask(new Resume(null)),
        s => s.Ask(Samples.Identity),
        s => s.Ask(Samples.Consent),
        s => s.Ask(Samples.Consent),
        s => s.Ask(new WithdrawConsent("no")),
        s => s.Ask(new WithdrawConsent("no") { Purposes = [ConsentPurpose.Sharing] }),
        s => s.Ask(Samples.Answers(ConsentPurpose.RemoteMode)),
        s => s.Ask(new AskConsentOnScreen([ConsentPurpose.Care, ConsentPurpose.Images], "es", ConsentParty.Themself, true, true)),
        s => s.Report(new ConsentAnsweredHere(ConsentPurpose.Care, "es", 1, true)),
        s => s.Report(new ConsentAnsweredHere(ConsentPurpose.Care, "es", 1, false)),
        s => s.Report(new ConsentTakenBackHere()),
        s => s.Ask(Samples.Clear(Ear.Right)),
        s => s.Ask(Samples.Clear(Ear.Left)),
        s => s.Ask(new RecordEarLook(Ear.Left, EarFinding.PainOnTouch, false, "pain")),
        s => s.Ask(new AcceptRoom("reason")),
        s => s.Ask(new OrderStep(new CheckKitStep(), false)),
        s => s.Ask(new OrderStep(new MeasureRoomStep(10), false)),
        s => s.Ask(new OrderStep(new ProveSidesStep(4, 1000, 50), false)),
        s => s.Ask(new OrderStep(new PresentToneStep(Ear.Left, 1000, 50, ToneShape.Steady, 1000), false)),
        s => s.Ask(new OrderStep(new SearchThresholdStep(Ear.Right, 1000, StoppingRule.TwoOfThree, ToneShape.Steady), false)),
        s => s.Ask(new OrderStep(new SearchEarStep(Ear.Right, [1000, 2000], StoppingRule.TwoOfThree, ToneShape.Steady), false)),
        s => s.Ask(new CutStep(s.State.Step?.StepId ?? default)),
        s => s.Ask(Samples.Review),
        s => s.Ask(Samples.Handoff),
        s => s.Report(new AssistantDone(s.State.Stage)),
        s => s.Report(new StopPressed()),
        s => s.Report(new HelpCalled()),
        s => s.Report(new StepStarted(s.State.Step?.StepId ?? default)),
        s => s.Report(new TrialDone(s.State.Step?.StepId ?? default, Samples.Trial())),
        s => s.Report(new ThresholdFound(Samples.Threshold(s.State.Step?.StepId ?? default))),
        s => s.Report(new StepEnded(s.State.Step?.StepId ?? default, StepEnding.Completed, null, null, ResultOf(s.State.Step?.Order.Request, loud: false))),
        s => s.Report(new StepEnded(s.State.Step?.StepId ?? default, StepEnding.Completed, null, null, ResultOf(s.State.Step?.Order.Request, loud: true))),
        s => s.Report(new StepEnded(s.State.Step?.StepId ?? default, StepEnding.Interrupted, RefusalCodes.LinkLost, "broken", null)),
        s => s.LoseLink(),
        s => s.Greet(),
        s => s.Greet(null, s.State.Step?.StepId ?? default),
        s => s.Now += TimeSpan.FromMinutes(6),
        s => s.SupplyWhenPossible(),
    ];

    private static readonly int _supplying = _moves.Length - 1;

    private const int Forward = 3;

    private static Config Seeded => Config.QuickThrowOnFailure.WithMaxTest(120).WithEndSize(200).WithReplay(20260302, 11);

    [Fact]
    public void NoSequenceSkipsAGateRunsTwoStepsOrSoundsWithoutConsent()
    {
        var reached = new HashSet<SessionStage>();
        Check.One(Seeded, Prop.ForAll(Moves().ToArbitrary(), moves =>
        {
            var session = new PureSession();
            foreach (var move in moves)
            {
                var before = session.State;
                var facts = session.Facts;
                _moves[move](session);
                Holds(before, facts, session.State);
                reached.Add(session.State.Stage);
            }
        }));

        // The walk is worth something only when it gets far.
        Assert.Contains(SessionStage.Testing, reached);
        Assert.Contains(SessionStage.Closed, reached);
        Assert.Contains(SessionStage.LinkLost, reached);
        Assert.Contains(SessionStage.Stopped, reached);
    }

    [Fact]
    public void FoldingIsTotalAndKeepsEveryEvent()
    {
        var pool = PoolOfEvents();
        Check.One(Seeded, Prop.ForAll(Gen.Choose(0, pool.Count - 1).ListOf().ToArbitrary(), picks =>
        {
            var events = picks.Select((pick, index) => new RecordedEvent(index + 1, DateTimeOffset.UnixEpoch.AddSeconds(index), pool[pick])).ToList();

            var state = SessionFold.Fold(SessionId.New(), events);

            Assert.Equal(events.Count, state.Version);
            Assert.Equal(events, state.History);
            Assert.True(state.DecisiveVersion <= state.Version);
        }));
    }

    [Fact]
    public void WhatIsSaidOfAGrowingSessionIsWhatIsSaidOfItAtOnce()
    {
        var pool = PoolOfEvents();
        Check.One(Seeded, Prop.ForAll(Gen.Choose(0, pool.Count - 1).ListOf().ToArbitrary(), Gen.Choose(1, 100).ToArbitrary(), (picks, between) =>
        {
            var events = picks.Select((pick, index) => new RecordedEvent(index + 1, DateTimeOffset.UnixEpoch.AddSeconds(index), pool[pick])).ToList();
            var (id, state) = (SessionId.New(), SessionState.Empty(SessionId.New()));
            foreach (var recorded in events)
            {
                state = SessionFold.Apply(state, recorded);
                if (recorded.Sequence % between == 0)
                {
                    Assert.Equal(Timeline.Of(SessionFold.Fold(id, state.History.Select(Copied))), Timeline.Of(state));
                }
            }

            Assert.Equal(Timeline.Of(SessionFold.Fold(id, state.History.Select(Copied))), Timeline.Of(state));
        }));

        static RecordedEvent Copied(RecordedEvent recorded) => recorded with { };
    }

    /// <summary>Half of all moves go forward, so that the walk gets through the stages; the rest is anything.</summary>
    private static Gen<List<int>> Moves() => Gen.Choose(0, (2 * _moves.Length) - 1)
        .Select(pick => pick < _moves.Length ? pick : pick % 3 == 0 ? Forward : _supplying)
        .ListOf(250)
        .Select(list => list.ToList());

    private static void Holds(SessionState before, SessionFacts facts, SessionState after)
    {
        foreach (var recorded in after.History.Skip((int)before.Version))
        {
            switch (recorded.Event)
            {
                case StageAdvanced advanced when advanced.From != SessionStage.Scheduled:
                    Assert.Equal(before.Stage + 1, advanced.To);
                    break;
                case StepOrdered ordered:
                    Assert.True(facts.KitOnline);
                    Assert.Null(StartCards.AgainBecause(before));
                    Assert.Equal(before.Holder?.Id, before.Identity?.By.Id);
                    Assert.True(Stages.IsWorking(after.Stage));
                    if (ordered.Order.Request is PresentToneStep or SearchThresholdStep or SearchEarStep)
                    {
                        Assert.Equal(SessionStage.Testing, after.Stage);
                    }

                    break;
            }
        }

        var orders = after.History.Skip((int)before.Version).Count(recorded => recorded.Event is StepOrdered);
        var ends = after.History.Skip((int)before.Version).Count(recorded => recorded.Event is StepOver);
        Assert.True(orders - ends + (before.StepInHand ? 1 : 0) <= 1, "two steps in hand");
        if (KitDuty.Of(after).SoundMayBeOn || (after.StepInHand && after.Stage > SessionStage.Consent && Stages.IsWorking(after.Stage)))
        {
            Assert.All(ConsentPurposes.Needed, purpose => Assert.True(after.Consent.Covers(purpose)));
        }

        if (after.Stage == SessionStage.Testing && before.Stage != SessionStage.Testing)
        {
            Assert.NotNull(after.Room);
            Assert.True(after.SideProof is { Passed: true } || !after.IsSafe(Ear.Left) || !after.IsSafe(Ear.Right));
            Assert.True(after.IsSafe(Ear.Left) || after.IsSafe(Ear.Right));
            Assert.NotNull(after.Identity);
            Assert.All(ConsentPurposes.Needed, purpose => Assert.True(after.Consent.Covers(purpose)));
            Assert.True(after.KitCheck is { Passed: true });
        }
    }

    private static StepResult? ResultOf(StepRequest? request, bool loud) => request switch
    {
        CheckKitStep => Samples.KitCheck,
        MeasureRoomStep => loud ? Samples.LoudRoom : Samples.QuietRoom,
        ProveSidesStep => Samples.SidesRight,
        _ => null,
    };

    private static List<SessionEvent> PoolOfEvents()
    {
        var session = PureSession.At(SessionStage.Closed);
        var stopped = PureSession.At(SessionStage.Testing);
        stopped.Report(new StopPressed());
        stopped.Must(new Resume("note"));
        stopped.LoseLink();
        stopped.Greet();
        stopped.Must(new StepBack());
        stopped.Must(new Hold(null));
        stopped.Must(new WithdrawConsent("no"));
        stopped.Must(new Abort("end"));
        return [.. session.State.History.Concat(stopped.State.History).Select(recorded => recorded.Event), new UnreadableEvent("future.thing", 9, "{}")];
    }
}

/// <summary>Supplying that tolerates any state.</summary>
internal static class Supplying
{
    public static void SupplyWhenPossible(this PureSession session)
    {
        if (session is { KitOnline: true, State.StepInHand: false } && session.State.Holder?.Id == PureSession.Maren.Id)
        {
            if (StartCards.AgainBecause(session.State) is not null)
            {
                session.Ask(Samples.Identity);
                return;
            }

            var askedInVain = session.State.ConsentAsked is not null && session.State.Stage != SessionStage.Consent;
            if (!askedInVain && (ConsentPurposes.Needed.All(session.State.Consent.Covers) || session.State.Stage <= SessionStage.Consent))
            {
                session.Supply();
            }
        }
    }
}
