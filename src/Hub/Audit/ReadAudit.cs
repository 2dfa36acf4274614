using MediatR;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Audit;

/// <summary>Search the audit.</summary>
internal sealed record ReadAudit(AuditSearch Search, Caller Caller) : IHubRequest<AuditReply>, IValidated
{
    public int? ProtocolVersion => null;

    public IReadOnlyList<string> Faults()
    {
        if (Search is null)
        {
            return ["What to look for is missing."];
        }

        var faults = new List<string>();
        foreach (var text in new[] { Search.Who, Search.About, Search.What })
        {
            if (text is { Length: > AuditSearch.LongestText })
            {
                faults.Add($"Look for texts of at most {AuditSearch.LongestText} characters.");
            }
        }

        if (Search is { From: { } from, Until: { } until } && until < from)
        {
            faults.Add("The last day lies before the first.");
        }

        return faults;
    }

    public AuditReply Refused(Refusal refusal) => new([], false, 0, refusal);

    public string Trace() => "read audit";
}

internal sealed class ReadAuditHandler : IRequestHandler<ReadAudit, AuditReply>
{
    private readonly IDbContextFactory<HubContext> _contexts;

    public ReadAuditHandler(IDbContextFactory<HubContext> contexts) => _contexts = contexts;

    public async Task<AuditReply> Handle(ReadAudit request, CancellationToken cancellationToken)
    {
        var search = request.Search;
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var people = await context.Users.AsNoTracking().ToDictionaryAsync(user => user.Id, user => user.DisplayName, cancellationToken);
        var rows = Days(context.AuditEntries.AsNoTracking(), search);
        if (search.Before is { } before)
        {
            rows = rows.Where(row => row.Sequence < before);
        }

        // Texts are looked for in what is shown, so names and words of rows count as they read. Newest first, until the page is full.
        var lines = new List<AuditLine>();
        await foreach (var row in rows.OrderByDescending(row => row.Sequence).AsAsyncEnumerable().WithCancellation(cancellationToken))
        {
            var line = Line(row, people);
            if (!Fits(line, search))
            {
                continue;
            }

            if (lines.Count == AuditSearch.PageLines)
            {
                return await Reply(lines, more: true);
            }

            lines.Add(line);
        }

        return await Reply(lines, more: false);

        async Task<AuditReply> Reply(IReadOnlyList<AuditLine> found, bool more) =>
            new(found, more, await context.AuditHeads.Where(row => row.Id == 1).Select(row => row.Entries).SingleOrDefaultAsync(cancellationToken), null)
            {
                HeadsMissing = [.. (await context.AuditEntries.AsNoTracking().Where(row => row.Kind == AuditActs.HeadMissing).OrderByDescending(row => row.Sequence).Take(AuditSearch.PageLines).ToListAsync(cancellationToken)).Select(row => Line(row, people))],
            };
    }

    private static IQueryable<AuditEntryRow> Days(IQueryable<AuditEntryRow> rows, AuditSearch search)
    {
        if (search.From is { } from)
        {
            var ticks = from.ToDateTime(TimeOnly.MinValue).Ticks;
            rows = rows.Where(row => row.TimeTicks >= ticks);
        }

        if (search.Until is { } until && until < DateOnly.MaxValue)
        {
            var ticks = until.AddDays(1).ToDateTime(TimeOnly.MinValue).Ticks;
            rows = rows.Where(row => row.TimeTicks < ticks);
        }

        return rows;
    }

    private static AuditLine Line(AuditEntryRow row, Dictionary<string, string> people)
    {
        var at = new DateTimeOffset(Math.Clamp(row.TimeTicks, 0, DateTime.MaxValue.Ticks), TimeSpan.Zero);
        var words = RightsTable.Row(row.Kind)?.What ?? row.Kind;
        return AuditEntry.Read(row.Kind, row.Payload) is { } entry
            ? new AuditLine(row.Sequence, at, words, row.Kind, entry.PersonId is { } id ? people.GetValueOrDefault(id, "an account that is gone") : entry.KitId, entry.About, entry.Refused, entry.Times)
            : new AuditLine(row.Sequence, at, words, row.Kind, null, ["The entry was changed from outside: run verify."], null, 1);
    }

    private static bool Fits(AuditLine line, AuditSearch search) =>
        (!search.RefusedOnly || line.Refused is not null)
        && Holds(search.Who, line.Who is null ? [] : [line.Who])
        && Holds(search.About, line.About)
        && Holds(search.What, [line.What, line.Door]);

    private static bool Holds(string? wanted, IReadOnlyList<string> texts) =>
        string.IsNullOrWhiteSpace(wanted) || texts.Any(text => text.Contains(wanted.Trim(), StringComparison.CurrentCultureIgnoreCase));
}
