using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Plans;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Views;

/// <summary>Shows where a protocol stands. Pure.</summary>
internal static class PlanViews
{
    public static PlanView? Of(SessionState state, SessionFacts facts)
    {
        if (state.Protocol is not { } protocol)
        {
            return null;
        }

        IReadOnlyList<string> changes = [.. state.PlanOverrides.Select(InWords)];
        var ofAge = SessionPlanning.OfAge(state, facts);
        IReadOnlyList<string> notes = [.. SessionPlanning.LeftOut(state, facts), .. ofAge];
        var view = SessionPlanning.Next(state, facts) switch
        {
            PlanStep.Measure measure => new PlanView(protocol, PlanStanding.Measure, measure.Part, measure.FrequencyHz, measure.Reason, notes, changes),
            PlanStep.ChangeTransducer change => new PlanView(protocol, PlanStanding.ChangeGear, change.Part, null, change.Reason, notes, changes),
            PlanStep.Blocked blocked => new PlanView(protocol, PlanStanding.Blocked, blocked.Part, null, blocked.Reason, notes, changes),
            PlanStep.Finished finished => new PlanView(
                protocol,
                PlanStanding.Finished,
                null,
                null,
                finished.Notes.Count == 0 ? "Everything the protocol asks for is measured." : "Everything the protocol asks for is measured, or was left out for the reasons below.",
                [.. finished.Notes.Select(InWords), .. ofAge],
                changes),
            _ => null,
        };
        return view is null ? null : view with { LeftOut = [.. PlanDecisions.LeftOut(state.PlanOverrides).Select(left => new LeftOut(left.Part, left.FrequencyHz))] };
    }

    /// <summary>A note with the part and the frequency it speaks of, where its sentence does not name them: notes of several parts stand in one list.</summary>
    internal static string InWords(PlanNote note)
    {
        var part = note.Part.ToString();
        if (note.Sentence.Contains(part, StringComparison.Ordinal))
        {
            return note.Sentence;
        }

        var hertz = note.FrequencyHz is { } frequency && !note.Sentence.Contains($"{frequency} Hz", StringComparison.Ordinal) ? $", {frequency} Hz" : string.Empty;
        return $"{char.ToUpperInvariant(part[0])}{part[1..]}{hertz}: {note.Sentence}";
    }

    /// <summary>A decision of the clinician in words.</summary>
    internal static string InWords(PlanOverride change) => change switch
    {
        PlanOverride.SkipPart skip => $"{skip.Part}: left out",
        PlanOverride.SkipFrequency skip => $"{skip.Part}, {skip.FrequencyHz} Hz: left out",
        PlanOverride.AddFrequency add => $"{add.Part}, {add.FrequencyHz} Hz: added",
        PlanOverride.Repeat repeat => $"{repeat.Part}, {repeat.FrequencyHz} Hz: to be measured again",
        PlanOverride.TakeUp { FrequencyHz: { } hertz } taken => $"{taken.Part}, {hertz} Hz: to be measured after all",
        PlanOverride.TakeUp taken => $"{taken.Part}: to be measured after all",
        PlanOverride.BeginAgain again => $"{new PlanPart(again.Ear, again.Route, Masked: false)}: begun again",
        _ => "a change this version does not know",
    };
}
