using System.Globalization;
using TeleHearing.Charts;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Cli.Clinician;

/// <summary>Writes a line for everything worth knowing while a scripted walk goes on. What was told once is not told again.</summary>
internal sealed class WalkNarrator(TextWriter output, TimeProvider clock)
{
    private readonly long _start = clock.GetTimestamp();
    private SessionStage? _stage;
    private StepId? _ended;
    private readonly HashSet<(StepId Step, int FrequencyHz, double OnsetKitMs)> _thresholds = [];

    /// <summary>Tells what is new in this picture.</summary>
    public void Tell(SessionView view)
    {
        if (view.Stage != _stage)
        {
            _stage = view.Stage;
            Line(view.StageReason is { Length: > 0 } reason && view.ResumeStage is not null ? $"{view.Stage}: {reason}" : $"{view.Stage}");
        }

        foreach (var found in view.Superseded.Concat(view.Thresholds))
        {
            if (_thresholds.Add((found.StepId, found.FrequencyHz, found.Trials.Count > 0 ? found.Trials[0].OnsetKitMs : 0)))
            {
                Line($"  {found.Ear,-5} {found.FrequencyHz,4} Hz  {OutcomeText.Full(found.Outcome)}  ({found.Trials.Count} presentations)");
            }
        }

        if (view.Step is { Ending: not null and not StepEnding.Completed } step && step.StepId != _ended)
        {
            _ended = step.StepId;
            Line($"  step {step.Ending}: {step.Reason}");
        }
    }

    /// <summary>Tells that the hub did not do something.</summary>
    public void TellRefusal(Refusal refusal) => Line($"  refused ({refusal.Code}): {refusal.Sentence}");

    private void Line(string text) =>
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{clock.GetElapsedTime(_start).TotalSeconds,7:0.0} s  {text}"));
}
