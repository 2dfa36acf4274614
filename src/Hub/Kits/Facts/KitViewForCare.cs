using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>What those see of a kit who look after it and may not see sessions.</summary>
internal static class KitViewForCare
{
    /// <summary>A kit's picture without the notes of reviewed sessions, which tell of results, and without the persons of its sessions.</summary>
    public static KitView WithoutSessions(KitView view) => view with
    {
        KnownEar = view.KnownEar with { Sessions = [] },
        LookBacks = [.. view.LookBacks.Select(list => list with { Sessions = [.. list.Sessions.Select(row => row with { Note = null })] })],
    };
}
