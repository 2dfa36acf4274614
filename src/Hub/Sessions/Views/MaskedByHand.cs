using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Views;

/// <summary>Gathers what the adviser on masking looks at. Pure.</summary>
internal static class MaskedByHand
{
    /// <summary>Most trials shown: more than any masked threshold by hand takes.</summary>
    private const int Most = 120;

    public static IReadOnlyList<TrialRecord> Of(SessionState state)
    {
        var trials = new List<TrialRecord>();
        for (var index = state.History.Count - 1; index >= 0 && trials.Count < Most; index--)
        {
            switch (state.History[index].Event)
            {
                case TrialTaken { Trial: { MaskerDbEm: not null } trial } taken when ByHand(state, taken.StepId) && (trials.Count == 0 || Same(trial, trials[0])):
                    trials.Add(trial);
                    break;
                case ThresholdMeasured { Threshold: var found } when trials.Count > 0 && (found.Ear, found.Route, found.FrequencyHz) == (trials[0].Ear, trials[0].Route, trials[0].FrequencyHz):
                    index = 0;
                    break;
                default:
                    break;
            }
        }

        trials.Reverse();
        return trials;
    }

    private static bool ByHand(SessionState state, StepId stepId) => state.PresentationsByHand.Contains(stepId);

    private static bool Same(TrialRecord one, TrialRecord other) => (one.Ear, one.Route, one.FrequencyHz) == (other.Ear, other.Route, other.FrequencyHz);
}
