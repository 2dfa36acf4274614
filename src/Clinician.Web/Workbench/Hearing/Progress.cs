using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Workbench.Hearing;

/// <summary>How far a search has come.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Frequency in hand, Hz.</param>
/// <param name="Number">Which of the frequencies it is, from 1.</param>
/// <param name="Count">How many there are; absent when that depends on what is found.</param>
/// <param name="TrialsHere">Trials at this frequency so far.</param>
public sealed record Progress(Ear Ear, int FrequencyHz, int Number, int? Count, int TrialsHere)
{
    /// <summary>How the tones reach the ear.</summary>
    public ConductionRoute Route { get; init; }

    /// <summary>Whether the other ear is masked.</summary>
    public bool Masked { get; init; }

    /// <summary>Reads it from a picture; null when the step is no search.</summary>
    public static Progress? Of(SessionView view, StepView step)
    {
        if (step.Request is MeasurePartStep part)
        {
            var hertz = step.Trials.Count == 0 ? view.Plan?.FrequencyHz ?? 1000 : step.Trials[^1].FrequencyHz;
            return new Progress(part.Part.Ear, hertz, Measured(view, step) + 1, null, TrialsAt(step, hertz)) { Route = part.Part.Route, Masked = part.Part.Masked };
        }

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

        var place = Math.Min(Measured(view, step), frequencies.Count - 1);
        var here = frequencies[place];
        var alone = step.Request as SearchThresholdStep;
        return new Progress(ear, here, place + 1, frequencies.Count, TrialsAt(step, here)) { Route = alone?.Route ?? ConductionRoute.Air, Masked = alone is { Masked: true } };
    }

    private static int Measured(SessionView view, StepView step) => view.Thresholds.Concat(view.Superseded).Count(threshold => threshold.StepId == step.StepId);

    private static int TrialsAt(StepView step, int hertz) => step.Trials.Reverse().TakeWhile(trial => trial.FrequencyHz == hertz).Count();
}
