using TeleHearing.Contracts;

namespace TeleHearing.Hub.Fleet.Loans;

/// <summary>What is owed because a kit is due or late. Pure.</summary>
internal static class ReminderLadder
{
    /// <summary>The step owed today: the last one whose day has come. Earlier ones that nobody took are passed over, for two reminders on one day help nobody; a step that was taken, or a later one, ends it.</summary>
    /// <param name="ladder">Steps in order of days.</param>
    /// <param name="dueBack">Day the kit is or was to be back.</param>
    /// <param name="today">The clinic's day.</param>
    /// <param name="taken">Codes of the steps taken since the loan was last extended.</param>
    /// <returns>Null when nothing is owed.</returns>
    public static ReminderStep? Owed(IReadOnlyList<ReminderStep> ladder, DateOnly dueBack, DateOnly today, IReadOnlyList<string> taken)
    {
        var owed = ladder.LastOrDefault(step => dueBack.AddDays(step.Day) <= today);
        var reached = ladder.LastOrDefault(step => taken.Contains(step.Code));
        return owed is null || (reached is not null && reached.Day >= owed.Day) ? null : owed;
    }
}
