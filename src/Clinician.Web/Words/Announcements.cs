using TeleHearing.Charts;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Says what changed between two pictures, for a screen reader's live region. Only what a clinician at work must hear.</summary>
public static class Announcements
{
    /// <summary>One or a few sentences, or nothing.</summary>
    public static string Between(SessionView before, SessionView after) => string.Join(" ", Sentences(before, after));

    private static IEnumerable<string> Sentences(SessionView before, SessionView after)
    {
        if (after.Stage != before.Stage)
        {
            yield return $"Now: {StageWords.Name(after.Stage)}.";
        }

        if ((after.Control.Epoch != before.Control.Epoch || after.Control.HolderId != before.Control.HolderId) && after.Control.LastChange is { } change)
        {
            yield return change;
        }

        foreach (var request in after.Control.Requests.Where(request => before.Control.Requests.All(known => known.PersonId != request.PersonId)))
        {
            yield return $"{request.Name} asks for control: {request.Why}";
        }

        if (after.Control.Offer is { } offer && before.Control.Offer?.PersonId != offer.PersonId)
        {
            yield return $"Control is offered to {offer.Name}.";
        }

        if (after.HelpWanted && !before.HelpWanted)
        {
            yield return "Someone at the site called for help.";
        }

        if (after.Kit.Online != before.Kit.Online)
        {
            yield return after.Kit.Online ? "The kit is back." : "The kit is out of reach.";
        }

        if (NewTrial(before.Step, after.Step) is { } trial)
        {
            yield return TrialWords.Sentence(trial);
        }

        var known = before.Thresholds.Concat(before.Superseded).ToHashSet();
        foreach (var threshold in after.Thresholds.Where(threshold => !known.Contains(threshold)))
        {
            yield return $"{TrialWords.EarName(threshold.Ear)}, {threshold.FrequencyHz} Hz: {OutcomeText.Full(threshold.Outcome)}.";
        }

        if (after.Step is { Ending: not null and not StepEnding.Completed } ended && (before.Step?.StepId != ended.StepId || before.Step.Ending is null))
        {
            yield return $"The {TrialWords.Step(ended.Request)} was {TrialWords.Ending(ended)}.";
        }
        else if (after.Step is { Ending: StepEnding.Completed } completed && before.Step is { Ending: null } running && running.StepId == completed.StepId && completed.Request is not PresentToneStep)
        {
            yield return $"The {TrialWords.Step(completed.Request)} is complete.";
        }
    }

    private static TrialRecord? NewTrial(StepView? before, StepView? after)
    {
        if (after is null || after.Trials.Count == 0)
        {
            return null;
        }

        var had = before?.StepId == after.StepId ? before.Trials.Count : 0;
        return after.Trials.Count > had ? after.Trials[^1] : null;
    }
}
