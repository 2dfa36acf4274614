using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.Plans;
using TeleHearing.Hub.Sessions.Start;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions.Views;

/// <summary>Makes the picture a console shows. Pure.</summary>
internal static class SessionViewBuilder
{
    /// <summary>How many of the latest trials a picture carries: as many as a console shows at a glance.</summary>
    private const int RecentTrialsShown = 12;

    public static SessionView Build(LoadedSession loaded, SessionFacts facts)
    {
        var state = loaded.State;
        var (newest, superseded) = StandingThresholds.Of(state.Thresholds);
        return new SessionView(
            state.SessionId,
            state.Version,
            state.DecisiveVersion,
            facts.Now,
            loaded.Plan.Person,
            loaded.Plan.Place,
            loaded.Plan.PlannedStart,
            new KitPresence(loaded.Plan.KitId, facts.KitOnline),
            state.Stage,
            state.ResumeStage,
            state.StageReason,
            ControlViews.Of(state),
            GateNeeds.Of(state.Stage, state, facts),
            Moves(loaded, facts),
            state.Step is { } step ? new StepView(step.StepId, step.Order.Request, step.Started, step.Ending, step.Code, step.Reason, step.Trials) { LoudConfirmed = step.LoudConfirmed } : null,
            newest,
            superseded,
            Averages(newest),
            state.Room,
            state.RoomAcceptedReason,
            state.KitCheck,
            state.SideProof,
            [.. state.EarLooks.OrderBy(pair => pair.Key).Select(pair => pair.Value)],
            StartCards.View(state),
            state.Consent.Newest,
            state.Review,
            state.Handoff,
            state.Message,
            state.HelpWanted,
            [.. Notes(state)],
            Timeline.Of(state),
            loaded.Integrity)
        {
            RecentTrials = [.. state.History.Select(recorded => recorded.Event).OfType<TrialTaken>().TakeLast(RecentTrialsShown).Select(taken => taken.Trial)],
            Worn = state.Worn,
            SidesAcceptedReason = state.SidesAcceptedReason,
            Plan = PlanViews.Of(state, facts),
            Reliability = SessionPlanning.Reliability(state),
            MaskedByHand = MaskedByHand.Of(state),
            Dose = SessionDose.Of(state),
            AskedOnScreen = [.. state.ConsentAsked?.Texts.Select(text => text.Purpose) ?? []],
            Recording = state.Recording,
        };
    }

    /// <summary>Averages of ears that have a measurement by air conduction.</summary>
    internal static IReadOnlyList<AverageView> Averages(IReadOnlyList<ThresholdRecord> newest) =>
    [
        .. newest.Where(threshold => threshold.Route == ConductionRoute.Air).GroupBy(threshold => threshold.Ear).OrderBy(group => group.Key).SelectMany(group =>
        {
            var outcomes = group.ToDictionary(threshold => threshold.FrequencyHz, threshold => threshold.Outcome);
            var estimates = group.Where(threshold => threshold.Method == ThresholdMethod.Estimate).Select(threshold => threshold.FrequencyHz).ToHashSet();
            return new[] { PureToneAverage.Three, PureToneAverage.Four }.Select(definition =>
                Average(group.Key, definition, PureToneAverage.Of(definition, outcomes), [.. definition.FrequenciesHz.Where(estimates.Contains)]));
        }),
    ];

    private static AverageView Average(Ear ear, AverageDefinition definition, AverageResult result, IReadOnlyList<int> estimatesHz) => result switch
    {
        AverageResult.Formed formed => new AverageView(ear, definition.Name, formed.LevelDbHl, Remark(formed, definition, estimatesHz)),
        AverageResult.NotFormed not => new AverageView(ear, definition.Name, null, not.Reason),
        _ => new AverageView(ear, definition.Name, null, "unknown result"),
    };

    /// <summary>What must be printed with the number: an average is no better than the levels in it.</summary>
    private static string? Remark(AverageResult.Formed formed, AverageDefinition definition, IReadOnlyList<int> estimatesHz)
    {
        List<string> remarks = [];
        if (formed.NoResponseFrequenciesHz.Count > 0)
        {
            remarks.Add(string.Create(CultureInfo.InvariantCulture, $"at least this: no response at {string.Join(", ", formed.NoResponseFrequenciesHz)} Hz was counted as the limit + {PureToneAverage.NoResponseAdditionDb:0} dB"));
        }

        if (estimatesHz.Count > 0)
        {
            remarks.Add(estimatesHz.Count == definition.FrequenciesHz.Count ? "from estimates, a quick look" : $"an estimate, a quick look, at {string.Join(", ", estimatesHz)} Hz");
        }

        return remarks.Count == 0 ? null : string.Join("; ", remarks);
    }

    private static List<Move> Moves(LoadedSession loaded, SessionFacts facts)
    {
        var machine = new SessionMachine(loaded.State, facts);
        return
        [
            .. SessionTriggers.Asked.Select(trigger =>
            {
                var whyNot = loaded.Integrity.Valid ? machine.WhyNot(trigger)?.Sentence : "The session's log is damaged, so the session is read-only.";
                return new Move(SessionTriggers.Name(trigger), whyNot is null, whyNot);
            }),
        ];
    }

    private static IEnumerable<NoteView> Notes(SessionState state) => state.History
        .Where(recorded => recorded.Event is NoteAdded)
        .Select(recorded => (recorded.At, Note: (NoteAdded)recorded.Event))
        .Select(line => new NoteView(line.At, line.Note.By.Name, line.Note.Text));
}
