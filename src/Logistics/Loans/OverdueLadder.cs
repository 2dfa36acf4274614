namespace TeleHearing.Logistics.Loans;

/// <summary>The steps taken when a kit is not back: reminders, a call, a letter, and at last the kit is given up. Plain data an owner may change.</summary>
/// <param name="Steps">Steps, the earliest first.</param>
public sealed record OverdueLadder(IReadOnlyList<LadderStep> Steps)
{
    /// <summary>Earliest and latest day of a step (design).</summary>
    public const int EarliestDay = -30;

    /// <inheritdoc cref="EarliestDay"/>
    public const int LatestDay = 365;

    /// <summary>Most steps (design).</summary>
    public const int MostSteps = 20;

    /// <summary>Two days before, on the day, two and five days after; a call after seven, a letter after fourteen, lost after thirty (common practice).</summary>
    public static OverdueLadder Usual { get; } = new(
    [
        new("due-soon", LadderAction.Reminder, -2, "loan.reminder.due-soon"),
        new("due-today", LadderAction.Reminder, 0, "loan.reminder.due-today"),
        new("overdue-first", LadderAction.Reminder, 2, "loan.reminder.overdue-first"),
        new("overdue-second", LadderAction.Reminder, 5, "loan.reminder.overdue-second"),
        new("overdue-call", LadderAction.Call, 7, "loan.call.overdue"),
        new("overdue-letter", LadderAction.Letter, 14, "loan.letter.overdue"),
        new("given-up", LadderAction.GiveUp, 30, "loan.given-up"),
    ]);

    /// <summary>The same steps on other days.</summary>
    /// <param name="days">A day for each step, in their order.</param>
    /// <exception cref="ArgumentException">There are not as many days as steps.</exception>
    public OverdueLadder OnDays(IReadOnlyList<int> days)
    {
        ArgumentNullException.ThrowIfNull(days);
        return days.Count == Steps.Count
            ? new OverdueLadder([.. Steps.Zip(days, (step, day) => step with { DaysAfterDue = day })])
            : throw new ArgumentException($"Give {Steps.Count} days, one for each step of the ladder.", nameof(days));
    }

    /// <summary>All that keeps it from being used, at once.</summary>
    public IReadOnlyList<LogisticsFault> Faults()
    {
        if (Steps is null || Steps.Count is 0 or > MostSteps || Steps.Any(step => step is null))
        {
            return [new(nameof(Steps), $"Give 1 to {MostSteps} steps.")];
        }

        var faults = new List<LogisticsFault>();
        foreach (var step in Steps)
        {
            if (string.IsNullOrWhiteSpace(step.Code) || string.IsNullOrWhiteSpace(step.WordingKey) || !Enum.IsDefined(step.Action))
            {
                faults.Add(new(nameof(Steps), $"The step on day {step.DaysAfterDue} needs a code, a wording and something to do."));
            }

            if (step.DaysAfterDue is < EarliestDay or > LatestDay)
            {
                faults.Add(new(step.Code ?? string.Empty, $"Day {step.DaysAfterDue} cannot be right. Give {EarliestDay} to {LatestDay} days after the day it is due."));
            }
        }

        faults.AddRange(Steps.Zip(Steps.Skip(1)).Where(pair => pair.Second.DaysAfterDue <= pair.First.DaysAfterDue)
            .Select(pair => new LogisticsFault(pair.Second.Code ?? string.Empty, $"The step on day {pair.Second.DaysAfterDue} must come later than the one before it, which is on day {pair.First.DaysAfterDue}.")));
        faults.AddRange(Steps.GroupBy(step => step.Code).Where(group => group.Count() > 1)
            .Select(group => new LogisticsFault(group.Key ?? string.Empty, "The code is there twice.")));
        if (Steps.SkipLast(1).Any(step => step.Action == LadderAction.GiveUp))
        {
            faults.Add(new(nameof(Steps), "Nothing comes after a kit is given up. Make it the last step."));
        }

        return faults;
    }

    /// <summary>Where a loan stands on a day.</summary>
    /// <param name="dueBack">Day the kit is due back.</param>
    /// <param name="today">The day asked about, by the clinic's date.</param>
    /// <param name="done">Steps taken; those taken for another day due are left out, because the loan was extended since.</param>
    /// <exception cref="InvalidOperationException">The ladder has faults.</exception>
    public LadderStanding Standing(DateOnly dueBack, DateOnly today, IReadOnlyList<LadderDone> done)
    {
        ArgumentNullException.ThrowIfNull(done);
        Require.Date(dueBack);
        Require.Date(today);
        var faults = Faults();
        if (faults.Count > 0)
        {
            throw new InvalidOperationException(string.Join(" ", faults));
        }

        var daysAfter = today.DayNumber - dueBack.DayNumber;
        var taken = done.Where(one => one.DueBack == dueBack).Select(one => one.Code).ToHashSet();
        var last = Steps.ToList().FindLastIndex(step => taken.Contains(step.Code));
        var reached = Steps.ToList().FindLastIndex(step => step.DaysAfterDue <= daysAfter);
        var owed = reached > last ? Steps[reached] : null;
        var next = Steps.Skip(Math.Max(reached, last) + 1).FirstOrDefault();
        return new LadderStanding(
            Math.Max(0, daysAfter),
            owed,
            owed is null ? [] : [.. Steps.Take(reached).Skip(last + 1)],
            next,
            next is null ? null : dueBack.AddDays(next.DaysAfterDue));
    }
}

/// <summary>Where a loan stands on the ladder.</summary>
/// <param name="DaysOverdue">Days it is overdue; none up to the day it is due.</param>
/// <param name="Owed">The step to take now; absent when none is owed. Only the latest one reached is owed: nobody gets two reminders in a day because a week was missed.</param>
/// <param name="PassedOver">Steps that were not taken in time and are not owed any more.</param>
/// <param name="Next">The step after it; absent at the end of the ladder.</param>
/// <param name="NextOn">Day of that step.</param>
public sealed record LadderStanding(int DaysOverdue, LadderStep? Owed, IReadOnlyList<LadderStep> PassedOver, LadderStep? Next, DateOnly? NextOn)
{
    /// <summary>Whether the kit is overdue.</summary>
    public bool IsOverdue => DaysOverdue > 0;
}
