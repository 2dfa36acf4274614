using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Who may record what about a kit.</summary>
internal static class KitRights
{
    /// <summary>Why a caller may not ask this; absent when they may.</summary>
    /// <remarks>Looking at a session again is a judgement about results and stays with those who may see sessions; all else is care of the kit, which a clinician on the road does too.</remarks>
    public static Refusal? MayAsk(Caller caller, KitCommand? command) => command is ReviewSession
        ? Rights.AnyOf(caller, Roles.Clinician, Roles.Owner)
        : Rights.AnyOf(caller, Roles.Coordinator, Roles.Clinician, Roles.Owner);

    /// <summary>A kit's picture without the notes of reviewed sessions, which tell of results: for those who may not see sessions.</summary>
    public static KitView WithoutNotes(KitView view) => view with
    {
        LookBacks = [.. view.LookBacks.Select(list => list with { Sessions = [.. list.Sessions.Select(row => row with { Note = null })] })],
    };
}
