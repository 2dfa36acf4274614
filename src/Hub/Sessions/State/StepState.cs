using System.Collections.Immutable;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Sessions.State;

/// <summary>The step in hand, or the last one.</summary>
/// <param name="Order">As sent to the kit.</param>
/// <param name="OrderedAtVersion">Sequence of the event that ordered it.</param>
/// <param name="LoudConfirmed">Levels above 100 dB HL were confirmed for it.</param>
/// <param name="Started">The kit has begun.</param>
/// <param name="CutAsked">The clinician has asked to cut it.</param>
/// <param name="Ending">How it ended; null while in hand.</param>
/// <param name="Code">Refusal code when it did not complete.</param>
/// <param name="Reason">Why it did not complete.</param>
/// <param name="Trials">Trials so far.</param>
internal sealed record StepState(
    StepOrder Order,
    long OrderedAtVersion,
    bool LoudConfirmed,
    bool Started,
    bool CutAsked,
    StepEnding? Ending,
    string? Code,
    string? Reason,
    ImmutableList<TrialRecord> Trials)
{
    public StepId StepId => Order.StepId;

    public bool InHand => Ending is null;
}
