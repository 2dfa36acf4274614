using System.Globalization;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Practice;

/// <summary>Whether an assistant may do a task.</summary>
/// <param name="Holds">Whether the sign-off holds, or none is needed.</param>
/// <param name="Sentence">Why, as a sentence.</param>
internal sealed record SignOffAnswer(bool Holds, string Sentence);

/// <summary>What sign-offs allow. Pure. Local rules on delegation come first and may allow less.</summary>
internal static class SignOffs
{
    /// <summary>Whether somebody may do a task under live instruction on a day.</summary>
    /// <param name="practice">The practice's facts.</param>
    /// <param name="personId">Account of the assistant.</param>
    /// <param name="task">The task.</param>
    /// <param name="today">The day at the clinic.</param>
    public static SignOffAnswer Holds(PracticeState practice, string personId, AssistantTask task, DateOnly today)
    {
        var needed = AssistantTasks.TierFor(task);
        var words = AssistantTasks.Words(task);
        if (needed == AssistantTier.Helper)
        {
            return new SignOffAnswer(true, $"Every helper may {words}.");
        }

        if (practice.TierOf(personId) is var tier && tier < needed)
        {
            return new SignOffAnswer(false, $"To {words} needs tier {AssistantTasks.Words(needed)}; this assistant has tier {AssistantTasks.Words(tier)}.");
        }

        var all = practice.SignOffs.Where(signOff => signOff.Given.PersonId == personId && signOff.Given.Task == task).ToList();
        if (all.Where(signOff => signOff.CountsOn(today)).MaxBy(signOff => signOff.Given.Until) is { } holds)
        {
            return new SignOffAnswer(true, $"Signed off to {words} until {Day(holds.Given.Until)}.");
        }

        return new SignOffAnswer(false, all.LastOrDefault() switch
        {
            null => $"Nobody has signed off that this assistant may {words}.",
            { WithdrawnBecause: not null } => $"The sign-off to {words} was withdrawn.",
            { Given: { } given } when given.Until < today => $"The sign-off to {words} ended on {Day(given.Until)}.",
            { Given: { } given } => $"The sign-off to {words} begins on {Day(given.On)}.",
        });
    }

    internal static string Day(DateOnly day) => day.ToString("d MMMM yyyy", CultureInfo.InvariantCulture);
}
