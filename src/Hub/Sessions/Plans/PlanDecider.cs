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
    /// <param name="protocol">The protocol named, as the clinic keeps it; absent when there is none of that name and version.</param>
    public static Decision Decide(SessionState state, SessionCommand command, Actor by, TestProtocol? protocol) => command switch
    {
        ChooseProtocol => protocol is null
            ? Decision.Refuse(RefusalCodes.Invalid, "There is no such protocol in that version.", "Look at the list of protocols and choose again.")
            : Decision.Of(new ProtocolChosen(protocol, by)),
        ChangePlan change => Decision.Of(new PlanChanged(AsOfNow(state, change.Change), by)),
        _ => throw new ArgumentOutOfRangeException(nameof(command), command.GetType().Name, "Not a command of this group."),
    };

    // Which measurements came before the decision is for the record to say, not for the console.
    private static PlanOverride AsOfNow(SessionState state, PlanOverride change) => change switch
    {
        PlanOverride.Repeat repeat => repeat with { MeasurementsBefore = state.Thresholds.Count },
        PlanOverride.BeginAgain again => again with { MeasurementsBefore = state.Thresholds.Count },
        _ => change,
    };
}
