using TeleHearing.Audiology;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Workbench.Hearing;

/// <summary>How far a search has come.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Frequency in hand, Hz.</param>
/// <param name="Number">Which of the frequencies it is, from 1.</param>
/// <param name="Count">How many there are.</param>
/// <param name="TrialsHere">Trials at this frequency so far.</param>
public sealed record Progress(Ear Ear, int FrequencyHz, int Number, int Count, int TrialsHere)
{
    /// <summary>Reads it from a picture; null when the step is no search.</summary>
    public static Progress? Of(SessionView view, StepView step)
    {
        var (ear, frequencies) = step.Request switch
        {
            SearchEarStep search => (search.Ear, search.FrequenciesHz),
            SearchThresholdStep search => (search.Ear, (IReadOnlyList<int>)[search.FrequencyHz]),
            _ => (default, []),
        };
        if (frequencies.Count == 0)
        {
            return null;
        }

        var done = view.Thresholds.Concat(view.Superseded).Count(threshold => threshold.StepId == step.StepId);
        var place = Math.Min(done, frequencies.Count - 1);
        var here = frequencies[place];
        return new Progress(ear, here, place + 1, frequencies.Count, step.Trials.Reverse().TakeWhile(trial => trial.FrequencyHz == here).Count());
    }
}
