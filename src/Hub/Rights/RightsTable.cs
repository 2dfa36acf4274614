using System.Collections.Frozen;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Rights;

/// <summary>Who may do what. What stands in no row is refused to everyone.</summary>
internal static class RightsTable
{
    /// <summary>All rows, in the order in which people read them (docs/rights.md).</summary>
    public static IReadOnlyList<(string Area, IReadOnlyList<RightsRow> Rows)> Areas { get; } =
    [
        ("Getting in", EntryRows.Rows),
        ("One's own account", AccountRows.Rows),
        ("Sessions and records", SessionRows.Rows),
        ("Kits", KitRows.Rows),
        ("Loans and the fleet", FleetRows.Rows),
        ("Assistants and registrations", PracticeRows.Rows),
        ("What the owner alone does", OwnerRows.Rows),
        ("What kits ask", KitOwnRows.Rows),
    ];

    private static readonly FrozenDictionary<string, RightsRow> _byDoor = Areas
        .SelectMany(area => area.Rows)
        .SelectMany(row => row.Doors.Select(door => (door, row)))
        .ToFrozenDictionary(pair => pair.door, pair => pair.row, StringComparer.Ordinal);

    /// <summary>The row of a door; null when there is none, which means that nobody may.</summary>
    public static RightsRow? Row(string door) => _byDoor.GetValueOrDefault(door);

    /// <summary>Every door that stands in a row.</summary>
    public static IEnumerable<string> Doors => _byDoor.Keys;

    /// <summary>Whether these parties may go through a door.</summary>
    public static bool Allows(Parties who, string door) => Row(door) is { } row && (row.Who & who) != Parties.None;

    /// <summary>Whether a caller chooses kits for loans, and sees to everything around them.</summary>
    public static bool CaresForKits(Caller caller) => Allows(PartiesOf.Caller(caller), Door.Command<PlaceLoan>());

    /// <summary>Whether a caller may see sessions and what came of them.</summary>
    public static bool SeesSessions(Caller caller) => Allows(PartiesOf.Caller(caller), Door.Request<WatchSessionQuery>());

    /// <summary>Why a caller may not go through a door; null when they may.</summary>
    public static Refusal? Refusal(Caller caller, string door) => Row(door) switch
    {
        null => new Refusal(RefusalCodes.RoleNotAllowed, "Nobody may do this.", "Tell the owner that this stands in no row of the rights table."),
        { } row when (row.Who & PartiesOf.Caller(caller)) != Parties.None => null,
        { Who: Parties.Kit } => new Refusal(RefusalCodes.RoleNotAllowed, "Only a kit may say this."),
        { } row => new Refusal(RefusalCodes.RoleNotAllowed, "Your role does not allow this.", "Ask someone with the role: " + string.Join(" or ", PartiesOf.Names(row.Who)) + "."),
    };
}
