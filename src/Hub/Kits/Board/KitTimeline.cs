using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Board;

/// <summary>A kit came to a stage on a day.</summary>
/// <param name="Day">The hub's day.</param>
/// <param name="Stage">Stage.</param>
/// <param name="Place">Where it went or was sent for it; absent at base.</param>
internal readonly record struct StageChange(DateOnly Day, KitStage Stage, string? Place);

/// <summary>Lays what happened to a kit, and what is planned with it, over the days of a window. Pure.</summary>
internal static class KitTimeline
{
    /// <param name="kit">Kit.</param>
    /// <param name="changes">Stages it came to, oldest first.</param>
    /// <param name="standing">Where it stands and what it is promised to.</param>
    /// <param name="sessions">Days of sessions with it.</param>
    /// <param name="window">Window; its list of kits is not looked at.</param>
    /// <param name="today">The hub's day.</param>
    public static KitTimelineRow Row(KitId kit, IReadOnlyList<StageChange> changes, KitStanding standing, IEnumerable<DateOnly> sessions, KitTimelineQuery window, DateOnly today)
    {
        var row = new Writer(window);
        Past(row, changes, today);
        Planned(row, standing, today);
        if (standing.Loan is { } loan && KitWay.IsAway(standing.Stage) && today > loan.DueBack)
        {
            row.Add(KitSpanKind.Overdue, loan.DueBack.AddDays(1), today, loan.Place);
        }

        if (standing is { Holds.Count: > 0, HeldSince: { } since })
        {
            row.Add(KitSpanKind.Held, since, today, standing.Holds[0].Sentence);
        }

        if (standing.CalibratedUntil is { } until && !KitWay.IsGone(standing.Stage))
        {
            row.Add(KitSpanKind.CalibrationEnds, until, until, null);
        }

        foreach (var day in sessions.Distinct())
        {
            row.Add(KitSpanKind.Session, day, day, null);
        }

        return row.Make(kit);
    }

    // A stage begun and left on one day is covered by what followed; the last one lasts until today.
    private static void Past(Writer row, IReadOnlyList<StageChange> changes, DateOnly today)
    {
        for (var i = 0; i < changes.Count; i++)
        {
            var (day, stage, place) = changes[i];
            var last = i + 1 < changes.Count ? changes[i + 1].Day.AddDays(-1) : today;
            if (KitWay.Span(stage, place is not null) is { } kind && last >= day)
            {
                row.Add(kind, day, last, place);
            }
        }
    }

    private static void Planned(Writer row, KitStanding standing, DateOnly today)
    {
        var tomorrow = today.AddDays(1);
        if (standing.Laboratory is { } laboratory)
        {
            row.Add(KitSpanKind.Calibration, tomorrow, laboratory.ExpectedBack, laboratory.Name);
        }

        if (standing.Loan is { } loan)
        {
            // Packed and not gone: the days away are still ahead. Away: what is left of them.
            var away = KitWay.IsAway(standing.Stage) || KitWay.IsPacked(standing.Stage);
            row.Add(KitSpanKind.Promised, Later(loan.From, tomorrow), away ? loan.DueBack : DateOnly.MinValue, loan.Place);
            row.Add(KitSpanKind.PromisedTurnaround, Later(loan.DueBack.AddDays(1), tomorrow), loan.BookableFrom.AddDays(-1), loan.Place);
        }

        foreach (var promised in standing.Promised)
        {
            row.Add(KitSpanKind.Promised, Later(promised.From, today), promised.DueBack, promised.Place);
            row.Add(KitSpanKind.PromisedTurnaround, Later(promised.DueBack.AddDays(1), tomorrow), promised.BookableFrom.AddDays(-1), promised.Place);
        }
    }

    private static DateOnly Later(DateOnly a, DateOnly b) => a > b ? a : b;

    /// <summary>Collects spans cut to the window, joins neighbours of one kind, and keeps each place once.</summary>
    private sealed class Writer(KitTimelineQuery window)
    {
        private readonly List<KitSpan> _spans = [];
        private readonly List<string> _places = [];

        public void Add(KitSpanKind kind, DateOnly first, DateOnly last, string? place)
        {
            var from = Math.Max(first.DayNumber - window.From.DayNumber, 0);
            var to = Math.Min(last.DayNumber - window.From.DayNumber, window.Days - 1);
            if (to < from)
            {
                return;
            }

            var index = place is null ? -1 : PlaceOf(place);
            if (_spans is [.., var before] && before.Kind == kind && before.Place == index && before.FirstDay + before.Days == from)
            {
                _spans[^1] = before with { Days = before.Days + to - from + 1 };
            }
            else
            {
                _spans.Add(new KitSpan(kind, from, to - from + 1, index));
            }
        }

        public KitTimelineRow Make(KitId kit) => new(kit, [.. _spans.OrderBy(span => span.Kind).ThenBy(span => span.FirstDay)], _places);

        private int PlaceOf(string place)
        {
            var known = _places.IndexOf(place);
            if (known < 0)
            {
                known = _places.Count;
                _places.Add(place);
            }

            return known;
        }
    }
}
