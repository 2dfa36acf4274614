using System.Globalization;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Consent;

/// <summary>The texts the clinic asks by, every version of them. A version is kept once and never changed; those that came with the tool are version 1.</summary>
internal sealed class ConsentTexts
{
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly TimeProvider _time;

    public ConsentTexts(IDbContextFactory<HubContext> contexts, TimeProvider time)
    {
        _contexts = contexts;
        _time = time;
    }

    /// <summary>Keeps the shipped texts as rows where there is no version of them yet; a row that is there stays as it is.</summary>
    public void KeepShipped()
    {
        using var context = _contexts.CreateDbContext();
        var kept = context.ConsentTexts.AsNoTracking().Select(row => new { row.Purpose, row.Language }).Distinct().ToList();
        foreach (var text in ShippedConsentTexts.All.Where(text => !kept.Exists(row => row.Purpose == text.Purpose.ToString() && row.Language == text.Language)))
        {
            context.ConsentTexts.Add(Row(text, null));
        }

        try
        {
            context.SaveChanges();
        }
        catch (DbUpdateException fault) when (StoreFaults.IsBrokenKey(fault))
        {
            // Another hub on the same database kept them in this moment, all in one.
        }
    }

    /// <summary>Every version, the newest last.</summary>
    public async Task<IReadOnlyList<KeptConsentText>> All(CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var rows = await context.ConsentTexts.AsNoTracking().ToListAsync(cancellationToken);
        return
        [
            .. rows.Select(Read).OfType<KeptConsentText>()
                .OrderBy(kept => kept.Text.Purpose).ThenBy(kept => kept.Text.Language, StringComparer.Ordinal).ThenBy(kept => kept.Text.Version),
        ];
    }

    /// <summary>Keeps the next version of a text.</summary>
    public async Task<ConsentTextReply> Keep(ConsentText text, string by, CancellationToken cancellationToken)
    {
        var trimmed = Trimmed(text);
        var faults = ConsentValidator.Faults(trimmed);
        if (faults.Count > 0)
        {
            return new ConsentTextReply(null, faults, null);
        }

        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var purpose = trimmed.Purpose.ToString();
        var newest = await context.ConsentTexts.AsNoTracking().Where(row => row.Purpose == purpose && row.Language == trimmed.Language).OrderByDescending(row => row.Version).FirstOrDefaultAsync(cancellationToken);
        var last = newest?.Version ?? 0;
        if (trimmed.Version != last + 1)
        {
            return new ConsentTextReply(null, [], Taken(last));
        }

        // A version that says the same would look as if people had agreed to something else before; a button pressed twice makes one.
        if (newest is not null && Read(newest)?.Text is { } same && same with { Version = trimmed.Version } == trimmed)
        {
            return new ConsentTextReply(null, [string.Create(CultureInfo.InvariantCulture, $"Nothing differs from version {last}.")], null);
        }

        var kept = Row(trimmed, by);
        context.ConsentTexts.Add(kept);
        try
        {
            await context.SaveChangesAsync(cancellationToken);
        }
        catch (DbUpdateException)
        {
            // Somebody kept the same number in the same moment; the key of the table decided.
            return new ConsentTextReply(null, [], Taken(trimmed.Version));
        }

        return new ConsentTextReply(Read(kept), [], null);
    }

    private static ConsentText Trimmed(ConsentText text) => text with
    {
        Language = text.Language?.Trim() ?? string.Empty,
        Title = text.Title?.Trim() ?? string.Empty,
        Body = text.Body?.Trim().ReplaceLineEndings("\n") ?? string.Empty,
        Agree = text.Agree?.Trim() ?? string.Empty,
        Decline = text.Decline?.Trim() ?? string.Empty,
        TakeBack = text.TakeBack?.Trim() ?? string.Empty,
    };

    private static Refusal Taken(int last) => new(
        RefusalCodes.Invalid,
        string.Create(CultureInfo.InvariantCulture, $"The newest version is {last}, so this would be version {last + 1}. A version is never changed. Nothing was kept."),
        "Look at the newest version, then keep yours as the next one.");

    private ConsentTextRow Row(ConsentText text, string? by) => new()
    {
        Purpose = text.Purpose.ToString(),
        Language = text.Language,
        Version = text.Version,
        Title = text.Title,
        Body = text.Body,
        Agree = text.Agree,
        Decline = text.Decline,
        TakeBack = text.TakeBack,
        KeptTicks = _time.GetUtcNow().UtcTicks,
        KeptBy = by,
    };

    private static KeptConsentText? Read(ConsentTextRow row) => Enum.TryParse<ConsentPurpose>(row.Purpose, out var purpose)
        ? new KeptConsentText(
            new ConsentText(purpose, row.Language, row.Version, row.Title, row.Body, row.Agree, row.Decline, row.TakeBack),
            new DateTimeOffset(row.KeptTicks, TimeSpan.Zero),
            row.KeptBy)
        : null;
}
