namespace TeleHearing.Hub.Storage.Log;

/// <summary>Rows of one append: all of them or none become durable.</summary>
internal sealed record AppendRows
{
    /// <summary>Events, session by session.</summary>
    public IReadOnlyList<SessionRows> Sessions { get; init; } = [];

    /// <summary>A command's receipt. One that is there already means that the command was carried out before.</summary>
    public CommandReceiptRow? Receipt { get; init; }

    /// <summary>How far a kit journal is held then. One that is further on already loses the race.</summary>
    public KitCursorRow? Cursor { get; init; }

    /// <summary>Entries of the audit, chained where they are written.</summary>
    public IReadOnlyList<AuditText> Audit { get; init; } = [];

    /// <summary>What is seldom written: facts of kits and of the fleet, new sessions and kits. False says that somebody was faster; then nothing of the append is kept.</summary>
    public Func<HubContext, CancellationToken, Task<bool>>? Beside { get; init; }

    /// <summary>Whether these go ahead of all that wait: silence.</summary>
    public bool Ahead { get; init; }

    /// <summary>Whether they can wait a moment for others to share a sync of the disk with: what stands durable elsewhere already.</summary>
    public bool Late { get; init; }

    /// <summary>Called once all is durable, in the order of commits, before the next append may begin; with the number of the last change by somebody else that was seen by then. Must not wait for anything.</summary>
    public Action<long> Committed { get; init; } = _ => { };
}

/// <summary>Events of one session, with what lists show of it after them.</summary>
/// <param name="SessionId">The session.</param>
/// <param name="Before">The session as it was loaded: the events follow on this.</param>
/// <param name="Events">The events, sealed and chained.</param>
/// <param name="Listed">What lists show after them; null when the row shows it already. Most events change nothing of it, and what is not written costs no page of the index of kits either.</param>
internal sealed record SessionRows(Guid SessionId, SessionMark Before, IReadOnlyList<SessionEventRow> Events, ListedSession? Listed);

/// <summary>What lists show of a session beside how far its log goes.</summary>
/// <param name="Stage">Its stage.</param>
/// <param name="KitId">Its kit.</param>
/// <param name="SealedController">Who is in control.</param>
/// <param name="HandoffOpen">Whether a handoff waits.</param>
internal sealed record ListedSession(string Stage, string KitId, string? SealedController, bool HandoffOpen);

/// <summary>An entry of the audit before it is chained.</summary>
internal sealed record AuditText(string Kind, int Shape, string Payload);
