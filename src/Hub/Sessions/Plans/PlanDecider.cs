using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Plans;

/// <summary>Choosing a protocol and deciding otherwise than it.</summary>
internal static class PlanDecider
{
    /// <param name="state">Session.</param>
    /// <param name="command">What is asked.</param>
    /// <param name="by">Who asks.</param>
    /// <param name="facts">What is so besides, here what the kit can play.</param>
    /// <param name="protocol">The protocol named, as the clinic keeps it; absent when there is none of that name and version.</param>
    public static Decision Decide(SessionState state, SessionCommand command, Actor by, SessionFacts facts, TestProtocol? protocol) => command switch
    {
        ChooseProtocol => protocol is null
            ? Decision.Refuse(RefusalCodes.Invalid, "There is no such protocol in that version.", "Look at the list of protocols and choose again.")
            : Decision.Of(new ProtocolChosen(protocol, by)),
        ChangePlan change when WhyNot(state, change.Change, facts) is { } refusal => new Refused(refusal),
        ChangePlan change => Decision.Of(new PlanChanged(AsOfNow(state, change.Change), by)),
        _ => throw new ArgumentOutOfRangeException(nameof(command), command.GetType().Name, "Not a command of this group."),
    };

    private static Refusal? WhyNot(SessionState state, PlanOverride change, SessionFacts facts) => change switch
    {
        PlanOverride.AddFrequency add when !PlayableLevels.Reach(facts.Playable, add.Part, add.FrequencyHz) => NotPlayed(add.Part, add.FrequencyHz),
        PlanOverride.Repeat repeat when !PlayableLevels.Reach(facts.Playable, repeat.Part, repeat.FrequencyHz) => NotPlayed(repeat.Part, repeat.FrequencyHz),
        PlanOverride.Repeat repeat when !state.Thresholds.Any(one =>
            (one.Ear, one.Route, one.FrequencyHz, one.Masking is not null) == (repeat.Part.Ear, repeat.Part.Route, repeat.FrequencyHz, repeat.Part.Masked)) =>
            new Refusal(RefusalCodes.Invalid, $"{repeat.FrequencyHz} Hz was not measured yet: {repeat.Part}.", "Wait until it comes, or add it if the protocol does not have it."),
        _ => null,
    };

    private static Refusal NotPlayed(PlanPart part, int frequencyHz) =>
        new(RefusalCodes.Invalid, $"This kit is not calibrated at {frequencyHz} Hz for the {part with { Masked = false }}, so it plays nothing there.", "Leave it out, or use a kit that is calibrated there.");

    // Which measurements came before the decision is for the record to say, not for the console.
    private static PlanOverride AsOfNow(SessionState state, PlanOverride change) => change switch
    {
        PlanOverride.Repeat repeat => repeat with { MeasurementsBefore = state.Thresholds.Count },
        PlanOverride.BeginAgain again => again with { MeasurementsBefore = state.Thresholds.Count },
        _ => change,
    };
}
