using System.Collections.Concurrent;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Data;

/// <summary>What an owner has confirmed and may fetch once, within minutes: only what to make is kept, in memory; the file is made while it is fetched.</summary>
internal sealed class DataTickets(TimeProvider time)
{
    /// <summary>How long a ticket is good (design).</summary>
    private static readonly TimeSpan _life = TimeSpan.FromMinutes(5);

    private readonly ConcurrentDictionary<Guid, (string PersonId, DataAsk Ask, long Since)> _tickets = new();

    /// <summary>Makes a ticket.</summary>
    public Guid Make(string personId, DataAsk ask)
    {
        foreach (var old in _tickets.Where(pair => time.GetElapsedTime(pair.Value.Since) > _life).Select(pair => pair.Key).ToList())
        {
            _tickets.TryRemove(old, out _);
        }

        var ticket = Guid.NewGuid();
        _tickets[ticket] = (personId, ask, time.GetTimestamp());
        return ticket;
    }

    /// <summary>Uses a ticket, once, by the person who asked.</summary>
    public DataAsk? Use(Guid ticket, string? personId) =>
        _tickets.TryGetValue(ticket, out var held) && held.PersonId == personId && _tickets.TryRemove(ticket, out _) && time.GetElapsedTime(held.Since) <= _life ? held.Ask : null;
}
