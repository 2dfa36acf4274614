using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Makes the picture of a kit from its facts. Pure.</summary>
internal static class KitViewBuilder
{
    /// <summary>How many sessions are offered to take a known-ear check from: those of the last days, not a history.</summary>
    private const int MostKnownEarSessions = 8;

    public static KitView Build(LoadedKit loaded, KitContext context, bool online)
    {
        var state = loaded.State;
        var held = KitHolds.Of(state, context.Others, context.Today);
        IReadOnlyList<string> holds = [.. held.Select(hold => hold.Sentence)];
        var view = new KitView(
            state.KitId,
            state.Version,
            context.Now,
            loaded.Row.Label,
            KitWay.Where(state, loaded.Row.Where),
            online,
            context.Today,
            holds,
            KitJudgement.Due(state, context.Today, context.Limits),
            Calibration(state, context.Today),
            [.. state.Calibrations.Reverse().Select(known => new CertificateView(known.At, known.Record.CertificateId, known.Record.Laboratory, known.Record.CalibratedOn, known.LargestShiftDb))],
            KnownEar(state, context),
            [.. state.FunctionChecks.Reverse().Select(check => new FunctionCheckView(check.At, check.Fact.By.Name, check.Fact.Answers, check.Fact.Note, KitJudgement.Passed(check.Fact)))],
            state.Sides is { } sides ? new SidesProvenView(sides.At, sides.Fact.SessionId, sides.Fact.Tones) : null,
            state.Site is { } site ? new KitSiteView(site.At, site.Fact.Place, site.Fact.PressureKPa, site.Fact.PressureKPa is { } pressure ? AtmosphericPressure.Caution(pressure) : null) : null,
            JourneyViews.Line(state),
            Uncovered(state, context),
            [.. state.LookBacks.Reverse().Select(list => LookBack(state, list, context))],
            Moves(state, held, loaded.Integrity.Valid),
            [.. state.History.AsEnumerable().Reverse().Select(recorded => new TimelineEntry(recorded.Sequence, recorded.At, KitWords.Of(recorded.Fact)))],
            loaded.Integrity);
        return JourneyViews.With(view, state, held, context.Today) with { Key = KeyViews.Of(loaded), Unwiped = state.Unwiped.Count(sessionId => sessionId != state.InSession) };
    }

    private static CalibrationView? Calibration(KitState state, DateOnly today) =>
        state.Gear is { Calibration: { } record } gear && KitJudgement.HoldsUntil(state) is { } until
            ? new CalibrationView(record, gear.Use, until, CalibrationValidity.DaysLeft(until, today), CalibrationValidity.Standing(until, today), KitJudgement.Cautions(state))
            : null;

    private static KnownEarView KnownEar(KitState state, KitContext context) => new(
        [.. state.Baselines.OrderBy(known => known.Fact.PersonCode, StringComparer.Ordinal).Select(known => new BaselineView(known.At, known.Fact.PersonCode, known.Fact.Levels))],
        [.. state.KnownEarChecks.Select(check => new KnownEarCheckView(check.At, check.Fact.By.Name, check.Fact.PersonCode, check.Fact.Shifts, check.Fact.Verdict, check.Fact.CertificateId))],
        KitJudgement.WhyKnownEarDue(state, context.Today))
    {
        Sessions =
        [
            .. context.Sessions
                .Where(use => use.Stage >= SessionStage.Testing && KnownEarRules.PersonCodeFault(use.PersonReference) is null)
                .OrderByDescending(use => use.LastActive)
                .Take(MostKnownEarSessions)
                .Select(use => new KnownEarSession(use.SessionId, use.PersonReference, use.LastActive)),
        ],
    };

    private static IReadOnlyList<UncoveredSession> Uncovered(KitState state, KitContext context) => KitJudgement.HoldsUntil(state) is not { } until
        ? []
        :
        [
            .. context.Sessions
                .Where(use => use.Stage == SessionStage.Scheduled)
                .Select(use => new UncoveredSession(use.SessionId, context.Day(use.PlannedStart)))
                .Where(planned => planned.Day >= context.Today && planned.Day > until)
                .OrderBy(planned => planned.Day),
        ];

    private static LookBackView LookBack(KitState state, (long Number, DateTimeOffset At, LookBackOpened Fact) list, KitContext context) => new(
        list.Number,
        list.At,
        list.Fact.Reason,
        list.Fact.Since,
        [
            .. from sessionId in list.Fact.Sessions
               let use = context.Sessions.FirstOrDefault(known => known.SessionId == sessionId)
               let review = state.Reviews.TryGetValue((list.Number, sessionId), out var found) ? found : default
               select new LookBackRow(sessionId, use?.LastActive ?? list.At, use?.Stage ?? SessionStage.Closed, review.Fact is null ? null : review.At, review.Fact?.By.Name, review.Fact?.Note),
        ]);

    private static IReadOnlyList<Move> Moves(KitState state, IReadOnlyList<KitHold> holds, bool whole)
    {
        const string Damaged = "What is recorded about this kit was changed from outside; it can be read only.";
        Move Of(string name, string? whyNot) => whole ? new Move(name, whyNot is null, whyNot) : new Move(name, false, Damaged);
        return
        [
            Of("record-baseline", state.Calibration is null ? "The kit has told no calibration." : holds.Any(hold => hold.ForbidsTesting) ? "Something holds this kit: a baseline is taken while it is known to be right." : null),
            Of("record-known-ear", state.Baselines.Count == 0 ? "Nobody has a baseline with this kit yet." : null),
            Of("record-function-check", null),
            Of("record-move", null),
            Of("review-session", state.LookBacks.Count == 0 ? "There is nothing to look at again." : null),
            // A kit that is gone loses its key whatever became of its facts.
            .. JourneyMoves.Of(state, holds).Select(move => !whole && move.Name == "report-kit-gone" ? new Move(move.Name, true, null) : Of(move.Name, move.WhyNot)),
        ];
    }
}
