namespace TeleHearing.Hub.Audit;

/// <summary>Keeps a flood of the same refusal from filling the disk: within a minute the first few are entries of their own, the others are counted and written as one entry. Any thread.</summary>
internal sealed class RefusalCounter(TimeProvider time)
{
    /// <summary>Entries of their own within a minute (design).</summary>
    public const int Single = 20;

    /// <summary>Different refusals remembered at a time (design); one more is written at once.</summary>
    private const int MostKinds = 10_000;

    private static readonly TimeSpan _window = TimeSpan.FromMinutes(1);

    private readonly Lock _lock = new();
    private readonly Dictionary<(string Act, string? Person, string? Kit, string Code), Seen> _seen = [];

    /// <summary>What to write of a refusal now; empty when it is only counted.</summary>
    public IReadOnlyList<AuditEntry> Take(AuditEntry refusal)
    {
        var key = (refusal.Act, refusal.PersonId, refusal.KitId, refusal.Refused ?? string.Empty);
        var now = time.GetTimestamp();
        lock (_lock)
        {
            var over = TakeOver(now);
            if (!_seen.TryGetValue(key, out var seen))
            {
                if (_seen.Count < MostKinds)
                {
                    _seen[key] = new Seen(now, 1, 0, refusal);
                }

                return [.. over, refusal];
            }

            _seen[key] = seen.Count < Single ? seen with { Count = seen.Count + 1 } : seen with { Counted = seen.Counted + 1 };
            return seen.Count < Single ? [.. over, refusal] : over;
        }
    }

    /// <summary>What was counted in windows that are over, and everything when the hub stops.</summary>
    public IReadOnlyList<AuditEntry> Due(bool everything)
    {
        lock (_lock)
        {
            return TakeOver(everything ? null : time.GetTimestamp());
        }
    }

    private List<AuditEntry> TakeOver(long? now)
    {
        var over = _seen.Where(pair => now is not { } at || time.GetElapsedTime(pair.Value.Since, at) >= _window).ToList();
        over.ForEach(pair => _seen.Remove(pair.Key));
        return [.. over.Where(pair => pair.Value.Counted > 0).Select(pair => pair.Value.First with { Times = pair.Value.Counted })];
    }

    private sealed record Seen(long Since, int Count, int Counted, AuditEntry First);
}
