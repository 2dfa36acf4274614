using System.Text.Json;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Data;

/// <summary>What an owner has confirmed and may fetch once, within minutes, from whichever hub: only what to make is kept, sealed; the file is made while it is fetched.</summary>
internal sealed class DataTickets(IDbContextFactory<HubContext> contexts, Seals seals, TimeProvider time)
{
    /// <summary>How long a ticket is good (design).</summary>
    private static readonly TimeSpan _life = TimeSpan.FromMinutes(5);

    /// <summary>Makes a ticket.</summary>
    public async Task<Guid> Make(string personId, DataAsk ask)
    {
        var ticket = Guid.NewGuid();
        var (now, old) = (time.GetUtcNow().UtcTicks, (time.GetUtcNow() - _life).UtcTicks);
        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
        await context.DataTickets.Where(row => row.MadeTicks < old).ExecuteDeleteAsync(CancellationToken.None);
        context.DataTickets.Add(new DataTicketRow
        {
            TicketId = ticket,
            PersonId = personId,
            SealedAsk = seals.Close(Seals.Clinic, Place(ticket), JsonSerializer.Serialize(ask, Protocol.Json)),
            MadeTicks = now,
        });
        await context.SaveChangesAsync(CancellationToken.None);
        return ticket;
    }

    /// <summary>Uses a ticket, once, by the person who asked.</summary>
    public async Task<DataAsk?> Use(Guid ticket, string? personId)
    {
        var old = (time.GetUtcNow() - _life).UtcTicks;
        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
        var mine = context.DataTickets.Where(row => row.TicketId == ticket && row.PersonId == personId && row.MadeTicks >= old);

        // Whoever takes the row away has the ticket.
        return await mine.Select(row => row.SealedAsk).SingleOrDefaultAsync(CancellationToken.None) is { } closed
            && await mine.ExecuteDeleteAsync(CancellationToken.None) == 1
            && seals.Open(Seals.Clinic, Place(ticket), closed) is { } ask
                ? JsonSerializer.Deserialize<DataAsk>(ask, Protocol.Json)
                : null;
    }

    private static string Place(Guid ticket) => $"data_tickets/{ticket:N}";
}
