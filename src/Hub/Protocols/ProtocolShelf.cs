using System.Globalization;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Protocols;

/// <summary>The clinic's protocols: those that came with the tool, and every version of the clinic's own. A version is kept once and never changed.</summary>
internal sealed class ProtocolShelf
{
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly TimeProvider _time;

    public ProtocolShelf(IDbContextFactory<HubContext> contexts, TimeProvider time)
    {
        _contexts = contexts;
        _time = time;
    }

    /// <summary>The newest version of each, shipped ones first.</summary>
    public async Task<IReadOnlyList<ProtocolEntry>> Newest(CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var rows = await context.Protocols.AsNoTracking().ToListAsync(cancellationToken);
        return
        [
            .. ShippedProtocols.All.Select(protocol => new ProtocolEntry(protocol, ProtocolFile.Write(protocol), true, null, null)),
            .. rows.GroupBy(row => row.ProtocolId)
                .Select(group => group.MaxBy(row => row.Version)!)
                .Select(row => Read(row))
                .OfType<ProtocolEntry>()
                .OrderBy(entry => entry.Protocol.Name, StringComparer.Ordinal),
        ];
    }

    /// <summary>One version of a protocol; absent when it is not there.</summary>
    public async Task<TestProtocol?> Find(string protocolId, int version, CancellationToken cancellationToken)
    {
        if (ShippedProtocols.All.FirstOrDefault(protocol => protocol.Id == protocolId && protocol.Version == version) is { } shipped)
        {
            return shipped;
        }

        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var row = await context.Protocols.AsNoTracking().SingleOrDefaultAsync(known => known.ProtocolId == protocolId && known.Version == version, cancellationToken);
        return row is null ? null : Read(row)?.Protocol;
    }

    /// <summary>Looks at a protocol, and keeps it as the next version when told to.</summary>
    /// <param name="text">The protocol as a file.</param>
    /// <param name="keep">Whether to keep it.</param>
    /// <param name="by">Who hands it in.</param>
    /// <param name="cancellationToken">Ends the work.</param>
    public async Task<ProtocolReply> HandIn(string text, bool keep, string by, CancellationToken cancellationToken)
    {
        var reading = ProtocolFile.Parse(text);
        if (reading is not ProtocolReading.Read { Protocol: var protocol })
        {
            return new ProtocolReply(null, ((ProtocolReading.Faulty)reading).Faults, null);
        }

        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var last = await context.Protocols.Where(row => row.ProtocolId == protocol.Id).MaxAsync(row => (int?)row.Version, cancellationToken) ?? 0;
        var refusal = NotNext(protocol, last);
        if (refusal is not null || !keep)
        {
            return new ProtocolReply(null, [], refusal);
        }

        context.Protocols.Add(new ProtocolRow
        {
            ProtocolId = protocol.Id,
            Version = protocol.Version,
            Text = ProtocolFile.Write(protocol),
            KeptTicks = _time.GetUtcNow().UtcTicks,
            KeptBy = by,
        });
        try
        {
            await context.SaveChangesAsync(cancellationToken);
        }
        catch (DbUpdateException)
        {
            // Somebody kept the same number in the same moment; the key of the table decided.
            return new ProtocolReply(null, [], Taken(protocol, protocol.Version));
        }

        return new ProtocolReply(protocol, [], null);
    }

    private static Refusal? NotNext(TestProtocol protocol, int last) =>
        ShippedProtocols.All.Any(shipped => shipped.Id == protocol.Id)
            ? new Refusal(RefusalCodes.Invalid, $"\"{protocol.Id}\" is a protocol that comes with the tool and stays as it is.", "Give yours another id.")
            : protocol.Version == last + 1 ? null : Taken(protocol, last);

    private static Refusal Taken(TestProtocol protocol, int last) => new(
        RefusalCodes.Invalid,
        last == 0
            ? $"\"{protocol.Id}\" is new, so its version must be 1."
            : string.Create(CultureInfo.InvariantCulture, $"\"{protocol.Id}\" has {last} {(last == 1 ? "version" : "versions")}, so this must be version {last + 1}."),
        "Change the version and hand it in again. Nothing was kept.");

    private static ProtocolEntry? Read(ProtocolRow row) =>
        ProtocolFile.Parse(row.Text) is ProtocolReading.Read read
            ? new ProtocolEntry(read.Protocol, row.Text, false, new DateTimeOffset(row.KeptTicks, TimeSpan.Zero), row.KeptBy)
            : null;
}
