using TeleHearing.Audiology.PureTone.Planning;

namespace TeleHearing.Hub.Sessions;

/// <summary>What a decision needs to know besides the events.</summary>
/// <param name="Now">Hub time.</param>
/// <param name="KitOnline">Whether the session's kit is connected.</param>
/// <param name="KitBusyElsewhere">Whether the kit is in another open session.</param>
/// <param name="GapLimit">Longest gap after which room and side proof still count.</param>
internal sealed record SessionFacts(DateTimeOffset Now, bool KitOnline, bool KitBusyElsewhere, TimeSpan GapLimit)
{
    /// <summary>What forbids using the kit, as sentences; asked for while the kit is being checked alone.</summary>
    public IReadOnlyList<string> KitHolds { get; init; } = [];

    /// <summary>What the kit can play by the calibration it told last; absent while it told none, and while no protocol asks.</summary>
    public IReadOnlyList<PlayableLevel>? Playable { get; init; }

    /// <summary>Age of the person tested in whole years; absent when it is not known. It may be one that cannot be right.</summary>
    public int? AgeYears { get; init; }
}
