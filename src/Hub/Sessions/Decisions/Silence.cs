using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>The effect every event has that takes a session off its line: whatever is in hand is cut.</summary>
internal static class Silence
{
    public static IReadOnlyList<KitEffect> Of(SessionState state) => state.Step is { InHand: true } step ? [new EndStep(step.StepId)] : [];
}
