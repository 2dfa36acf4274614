namespace TeleHearing.Hub.Storage.Verification;

/// <summary>A chain of the store, as tables hold it.</summary>
/// <param name="Table">Table of its rows.</param>
/// <param name="Owner">Column that says whose row it is; absent where the table holds one chain only.</param>
/// <param name="Heads">Query that gives every owner with the number of rows it should have.</param>
/// <param name="NameOf">Name of the chain of an owner, as hashed.</param>
/// <param name="Words">What people call it.</param>
internal sealed record ChainTable(string Table, string? Owner, string Heads, Func<string, string> NameOf, Func<string, string> Words)
{
    /// <summary>Every table that holds chains.</summary>
    public static IReadOnlyList<ChainTable> All { get; } =
    [
        new("session_events", "SessionId", """SELECT CAST("SessionId" AS TEXT), "Version" FROM sessions""", owner => Guid.TryParse(owner, out var session) ? SessionEventRow.ChainOf(session) : owner, owner => $"session {owner.ToLowerInvariant()}"),
        new("kit_facts", "KitId", """SELECT "KitId", "FactVersion" FROM kits""", KitFactRow.ChainOf, owner => $"facts of {owner}"),
        new("fleet_facts", null, """SELECT '', "FactVersion" FROM fleet_head""", _ => FleetFactRow.Chain, _ => "facts of the fleet"),
        new("audit_entries", null, """SELECT '', "Entries" FROM audit_head""", _ => AuditEntryRow.Chain, _ => "audit"),
    ];
}

/// <summary>The end of a chain at a moment: whoever holds it can tell later whether newer entries were removed, or all of them replaced.</summary>
/// <param name="Chain">Name of the chain, as hashed.</param>
/// <param name="Sequence">Number of its last entry.</param>
/// <param name="Hash">Hash of that entry, in hexadecimal.</param>
internal sealed record ChainHead(string Chain, long Sequence, string Hash);

/// <summary>Something that does not fit.</summary>
/// <param name="Where">Which chain, in words.</param>
/// <param name="Entry">From which entry on; absent where it is about the whole.</param>
/// <param name="What">What was found.</param>
internal sealed record ChainFault(string Where, long? Entry, string What);

/// <summary>What a verification came to.</summary>
/// <param name="Entries">Entries that were looked at.</param>
/// <param name="Heads">End of every chain, as found.</param>
/// <param name="Faults">What does not fit; empty when everything does.</param>
internal sealed record StoreVerdict(long Entries, IReadOnlyList<ChainHead> Heads, IReadOnlyList<ChainFault> Faults);
