namespace TeleHearing.Contracts;

/// <summary>What to look for in the audit. Whatever is absent is not asked for; all that is given must hold.</summary>
/// <param name="Who">Part of a person's name as shown, or a kit's id.</param>
/// <param name="About">Part of what it was about, e.g. a session's id or "kit-01".</param>
/// <param name="What">Part of what was done, e.g. "record" or "sign".</param>
/// <param name="RefusedOnly">Only what was refused.</param>
/// <param name="From">First day, UTC.</param>
/// <param name="Until">Last day, UTC.</param>
/// <param name="Before">Only entries with a smaller number, for the next page.</param>
public sealed record AuditSearch(string? Who, string? About, string? What, bool RefusedOnly, DateOnly? From, DateOnly? Until, long? Before)
{
    /// <summary>Longest text of a field, characters.</summary>
    public const int LongestText = 100;

    /// <summary>Most lines in an answer.</summary>
    public const int PageLines = 50;
}

/// <summary>A line of the audit as the owner reads it.</summary>
/// <param name="Sequence">Its number in the chain.</param>
/// <param name="At">When, by the hub's clock.</param>
/// <param name="What">What was done, in words.</param>
/// <param name="Door">The way by which it was done: a door of the rights table.</param>
/// <param name="Who">Name of the person as it is now, or the kit's id; absent when nobody knows.</param>
/// <param name="About">What it was about.</param>
/// <param name="Refused">Code of the refusal; absent when it was done.</param>
/// <param name="Times">How many times within a minute, where it was counted.</param>
public sealed record AuditLine(long Sequence, DateTimeOffset At, string What, string Door, string? Who, IReadOnlyList<string> About, string? Refused, int Times);

/// <summary>Answer to a search: newest first.</summary>
/// <param name="Lines">The lines of this page.</param>
/// <param name="More">Whether older ones fit too.</param>
/// <param name="Entries">Entries in the whole audit.</param>
/// <param name="Refusal">Why nothing is shown.</param>
public sealed record AuditReply(IReadOnlyList<AuditLine> Lines, bool More, long Entries, Refusal? Refusal)
{
    /// <summary>Times at which a kit showed a head that the store does not hold any more, newest first: entries were removed or replaced from outside.</summary>
    public IReadOnlyList<AuditLine> HeadsMissing { get; init; } = [];
}
