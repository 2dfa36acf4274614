using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions;

/// <summary>Where a session goes on after Paused, LinkLost or Stopped.</summary>
/// <param name="Stage">The stage.</param>
/// <param name="Repeat">Room and side proof have to be repeated.</param>
/// <param name="CardAgain">The start card has to be confirmed anew; absent when not.</param>
internal sealed record ReturnPoint(SessionStage Stage, bool Repeat, bool? CardAgain)
{
    /// <summary>The last confirmed stage; back to the room when the gap was too long; never past consent without consent.</summary>
    public static ReturnPoint Of(SessionState state, SessionFacts facts)
    {
        var stage = state.ResumeStage ?? SessionStage.Connecting;
        var gap = state.OffLineSince is { } since ? facts.Now - since : TimeSpan.Zero;
        // Also at an earlier stage, when one stepped back after measuring: the earphones and the room were left alone just as long.
        var rests = stage >= SessionStage.RoomNoise || state.Room is not null || state.SideProof is not null;
        var repeat = gap > facts.GapLimit && rests;
        if (repeat && Stages.RestsOnRoomAndSides(stage))
        {
            stage = SessionStage.RoomNoise;
        }

        if (!ConsentPurposes.Needed.All(state.Consent.Covers) && stage > SessionStage.Consent)
        {
            stage = SessionStage.Consent;
        }

        return new ReturnPoint(stage, repeat, gap > facts.GapLimit && state.Identity is not null ? true : null);
    }
}
