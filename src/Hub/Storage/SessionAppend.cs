using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Storage;

/// <summary>Events of one session to append.</summary>
/// <param name="Loaded">The session as it was loaded; its version is the expected one.</param>
/// <param name="Events">What happened.</param>
internal sealed record SessionAppend(LoadedSession Loaded, IReadOnlyList<SessionEvent> Events);

/// <summary>Facts of one kit to append.</summary>
/// <param name="Loaded">The kit as it was loaded; its version is the expected one.</param>
/// <param name="Facts">What is known now.</param>
internal sealed record KitFactAppend(LoadedKit Loaded, IReadOnlyList<KitFact> Facts)
{
    /// <summary>A time for each fact, for an invented past; absent for the hub's own time, which everything that happens has.</summary>
    public IReadOnlyList<DateTimeOffset>? Times { get; init; }
}

/// <summary>Facts of the fleet to append.</summary>
/// <param name="Loaded">The fleet as it was loaded; its version is the expected one.</param>
/// <param name="Facts">What is known now.</param>
internal sealed record FleetFactAppend(LoadedFleet Loaded, IReadOnlyList<FleetFact> Facts)
{
    /// <inheritdoc cref="KitFactAppend.Times"/>
    public IReadOnlyList<DateTimeOffset>? Times { get; init; }
}

/// <summary>A command's receipt, kept with its events.</summary>
internal sealed record ReceiptToKeep(Receipt Receipt, SessionId SessionId, byte[] Fingerprint);

/// <summary>How far a kit journal is held, kept with the events its reports made.</summary>
internal sealed record CursorToKeep(KitId KitId, JournalId JournalId, long AcknowledgedSequence);

/// <summary>Everything of one append: all of it or nothing becomes durable.</summary>
/// <param name="Sessions">Events, session by session.</param>
/// <param name="Receipt">A command's receipt.</param>
/// <param name="Cursor">A kit journal's cursor.</param>
/// <param name="Committed">Called with the new states once all is durable, in the order of commits, before the next append may begin. Must not wait for anything.</param>
internal sealed record AppendBatch(
    IReadOnlyList<SessionAppend> Sessions,
    ReceiptToKeep? Receipt,
    CursorToKeep? Cursor,
    Action<IReadOnlyList<SessionState>> Committed)
{
    /// <summary>Facts of kits, kit by kit.</summary>
    public IReadOnlyList<KitFactAppend> KitFacts { get; init; } = [];

    /// <summary>Kits whose right to link is taken away with it.</summary>
    public IReadOnlyList<KitId> KitsToRevoke { get; init; } = [];

    /// <summary>Facts of the fleet; absent when there are none.</summary>
    public FleetFactAppend? FleetFacts { get; init; }

    /// <summary>Whether it goes ahead of all that wait to be written: silence.</summary>
    public bool Ahead { get; init; }

    /// <summary>Kits to enter, or whose label and place change; all else of a kit that is there stays as it is.</summary>
    public IReadOnlyList<KitEntity> Kits { get; init; } = [];
}

/// <summary>What an append came to.</summary>
internal enum AppendOutcome
{
    /// <summary>Durable.</summary>
    Appended,

    /// <summary>Somebody appended first: load again and decide again.</summary>
    LostRace,

    /// <summary>The command was carried out before under the same id.</summary>
    CarriedOutBefore,
}
