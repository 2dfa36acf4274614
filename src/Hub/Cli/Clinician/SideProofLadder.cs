using TeleHearing.Contracts;

namespace TeleHearing.Hub.Cli.Clinician;

/// <summary>Levels for the side proof: a comfortable one first, raised in steps of 20 dB while tones go unanswered, as familiarisation does (ISO 8253-1:2010, 6.2.1: start clearly audible, raise until a response).</summary>
/// <remarks>The step is also the most a kit lets a level rise at once above 50 dB HL.</remarks>
internal sealed class SideProofLadder
{
    private const int FrequencyHz = 1000;
    private const int TrialCount = 4;
    private const int MostAtOneLevel = 3;
    private static readonly double[] _levelsDbHl = [50, 70, 90, 110];

    private int _rung;
    private int _atThisLevel;
    private StepId? _judged;

    /// <summary>The next proof to ask for, or nothing when the ladder is at its end.</summary>
    public ProveSidesStep? Next(SessionView view)
    {
        if (view.Step is { Request: ProveSidesStep, Ending: StepEnding.Completed } last && last.StepId != _judged)
        {
            _judged = last.StepId;
            _atThisLevel++;
            var unanswered = view.SideProof is { } proof && proof.Trials.Any(trial => trial.Answered is null);
            if (unanswered || _atThisLevel >= MostAtOneLevel)
            {
                _rung++;
                _atThisLevel = 0;
            }
        }

        if (view.Step is { Request: ProveSidesStep, Ending: StepEnding.Refused, Code: RefusalCodes.RiseTooSteep } refused && refused.StepId != _judged)
        {
            // The kit was started anew and knows of no tone before: from below once more.
            _judged = refused.StepId;
            (_rung, _atThisLevel) = (Math.Max(0, _rung - 1), 0);
        }

        return _rung < _levelsDbHl.Length ? new ProveSidesStep(TrialCount, FrequencyHz, _levelsDbHl[_rung]) : null;
    }
}
