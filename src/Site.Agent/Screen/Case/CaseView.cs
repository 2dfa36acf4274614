using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Screen.Case;

/// <summary>What of the case fills the screen.</summary>
public enum CaseShown
{
    None,

    /// <summary>Charge the batteries before anything else.</summary>
    Charge,

    /// <summary>What should be in the case, to be counted.</summary>
    Count,

    /// <summary>What the count came to.</summary>
    Counted,

    /// <summary>What goes back into the case.</summary>
    PackUp,

    /// <summary>Packed: what to do with the parcel.</summary>
    Packed,
}

/// <summary>Decides what of the case is shown. Pure.</summary>
internal static class CaseView
{
    /// <summary>Decides.</summary>
    /// <param name="desk">What is known of the case.</param>
    /// <param name="now">What the kit screen knows.</param>
    /// <param name="stopPressed">Whether stop is pressed: then nothing of the case is shown.</param>
    /// <remarks>Only on a loan, and only before the person is tested or after: a person who listens sees nothing of it.</remarks>
    public static CaseShown Of(CasePicture desk, KitScreenState.Picture now, bool stopPressed)
    {
        if (stopPressed || now is { Scene: { Stopped: true } } or { Link: LinkState.Refused } || desk.Case is not { Packed: not null, Items.Count: > 0 } known)
        {
            return CaseShown.None;
        }

        return now.Scene is { SessionId: not null } scene
            ? scene.Stage switch
            {
                SessionStage.Connecting or SessionStage.KitCheck => Arrival(desk, known),
                SessionStage.Handoff => desk.Packed ? CaseShown.Packed : CaseShown.PackUp,

                // Over: what to do with the parcel stays in sight once the case is packed, here or by the clinic's word.
                SessionStage.Closed or SessionStage.Aborted or SessionStage.Converted when desk.Packed || known.Stage == KitStage.AwaitingReturn => CaseShown.Packed,
                _ => CaseShown.None,
            }
            : known.Stage switch
            {
                KitStage.Delivered or KitStage.InTransitOut or KitStage.CheckedInAtSite => desk.Packed ? CaseShown.Packed : Arrival(desk, known),
                KitStage.InUse => desk.Packed ? CaseShown.Packed : CaseShown.PackUp,
                KitStage.AwaitingReturn => CaseShown.Packed,
                _ => CaseShown.None,
            };
    }

    /// <summary>The count that stands: the one made here, or the one the hub holds.</summary>
    public static IReadOnlyList<ItemCount>? Count(CasePicture desk) => desk.Counted ?? desk.Case?.CountedHere?.Counts;

    private static CaseShown Arrival(CasePicture desk, KitCase known) =>
        known.ChargeFirst && !desk.Charged ? CaseShown.Charge
        : Count(desk) is null ? CaseShown.Count
        : CaseShown.Counted;
}
