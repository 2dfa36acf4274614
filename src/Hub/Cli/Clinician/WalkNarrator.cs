using System.Globalization;
using TeleHearing.Charts;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Cli.Clinician;

/// <summary>Writes a line for everything worth knowing while a scripted walk goes on. What was told once is not told again.</summary>
internal sealed class WalkNarrator(TextWriter output, TimeProvider clock)
{
    private readonly long _start = clock.GetTimestamp();
    private SessionStage? _stage;
    private StepId? _ended;
    private readonly HashSet<(StepId Step, int FrequencyHz, double OnsetKitMs)> _thresholds = [];

    /// <summary>How many steps so far were broken off because the link was lost or its lease lapsed.</summary>
    public int BrokenOffByLink { get; private set; }

    /// <summary>Tells what is new in this picture.</summary>
    public void Tell(SessionView view)
    {
        if (view.Stage != _stage)
        {
            _stage = view.Stage;
            Line(view.StageReason is { Length: > 0 } reason && view.ResumeStage is not null ? $"{Stages.InWords(view.Stage)}: {reason}" : Stages.InWords(view.Stage));
        }

        foreach (var found in view.Superseded.Concat(view.Thresholds))
        {
            if (_thresholds.Add((found.StepId, found.FrequencyHz, found.Trials.Count > 0 ? found.Trials[0].OnsetKitMs : 0)))
            {
                Line($"  {OutcomeText.Name(found.Ear),-5} {found.FrequencyHz,4} Hz  {OutcomeText.Full(found.Outcome)}  ({found.Trials.Count} presentations)");
            }
        }

        if (view.Step is { Ending: not null and not StepEnding.Completed } step && step.StepId != _ended)
        {
            _ended = step.StepId;
            BrokenOffByLink += step.Code == RefusalCodes.LinkLost ? 1 : 0;
            Line($"  step {InWords(step.Ending.Value)}: {step.Reason}");
        }
    }

    /// <summary>Tells that the hub did not do something.</summary>
    public void TellRefusal(Refusal refusal) => Line($"  refused ({refusal.Code}): {refusal.Sentence}");

    private static string InWords(StepEnding ending) => ending switch
    {
        StepEnding.Completed => "completed",
        StepEnding.Cut => "cut",
        StepEnding.Interrupted => "broken off",
        StepEnding.Refused => "refused",
        StepEnding.Failed => "failed",
        _ => ending.ToString(),
    };

    private void Line(string text) =>
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{clock.GetElapsedTime(_start).TotalSeconds,7:0.0} s  {text}"));
}
