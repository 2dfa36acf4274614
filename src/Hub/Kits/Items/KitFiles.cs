using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Logistics.Labels;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Kits and items as a file, out and in. A file is kept whole in one append or not at all.</summary>
internal sealed class KitFiles(KitFacts facts, KitFactStore store, SessionRunner runner, Broadcaster broadcaster)
{
    /// <summary>Every kit with its items.</summary>
    public async Task<byte[]> Export(char separator, CancellationToken cancellationToken)
    {
        var sheets = new List<KitSheet>();
        foreach (var name in (await store.States(cancellationToken)).Keys.Order(StringComparer.Ordinal))
        {
            if (await store.Load(new KitId(name), cancellationToken) is { } kit)
            {
                sheets.Add(new KitSheet(kit.State.KitId, kit.Row.Label, kit.Row.Where, kit.State.Items, 0));
            }
        }

        return KitCsvWriter.Write(sheets, separator);
    }

    /// <summary>Looks at a file, and keeps it when told to.</summary>
    /// <param name="file">The file.</param>
    /// <param name="keep">Whether to keep it.</param>
    /// <param name="by">Who does it.</param>
    /// <param name="cancellationToken">Cancels before anything is kept.</param>
    public async Task<ImportReply> Import(ReadOnlyMemory<byte> file, bool keep, Actor by, CancellationToken cancellationToken)
    {
        var read = KitCsvReader.Read(file.Span);
        return read.Faults.Count > 0
            ? new ImportReply(read.Faults, [], false, null)
            : await facts.Alone(
                () => runner.Run(token => Decide(read.Kits, keep, by, token), _ => throw new IOException("A file has no receipt."), cancellationToken),
                cancellationToken);
    }

    private async Task<Attempt<ImportReply>> Decide(IReadOnlyList<KitSheet> sheets, bool keep, Actor by, CancellationToken cancellationToken)
    {
        var (faults, changes, kits, appends) = (new List<ImportFault>(), new List<ImportChange>(), new List<KitEntity>(), new List<KitFactAppend>());
        var states = await store.States(cancellationToken);
        foreach (var sheet in sheets)
        {
            var known = await store.Load(sheet.KitId, cancellationToken);
            if (known is { Integrity.Valid: false })
            {
                faults.Add(new ImportFault(sheet.Line, KitCsv.Kit, KitRefusals.Damaged(known.Integrity.BrokenAtSequence).Sentence));
                continue;
            }

            if (known is null && (sheet.Label is null || sheet.Where is null))
            {
                faults.Add(new ImportFault(sheet.Line, sheet.Label is null ? KitCsv.Label : KitCsv.Where, $"{sheet.KitId} is new: say what it is and where it is."));
                continue;
            }

            if (known is null && states.Keys.FirstOrDefault(name => LabelCode.Plain(name) is { } plain && plain == LabelCode.Plain(sheet.KitId.Value)) is { } alike)
            {
                faults.Add(new ImportFault(sheet.Line, KitCsv.Kit, $"There is {alike} already, and the two would have the same label."));
                continue;
            }

            var loaded = known ?? New(sheet);
            var (decided, refusal) = Facts(loaded.State, known is null, sheet.Items, by, await facts.Context(sheet.KitId, cancellationToken));
            if (refusal is not null)
            {
                faults.Add(new ImportFault(sheet.Line, KitCsv.Item, $"{refusal.Sentence} {refusal.Remedy}".Trim()));
                continue;
            }

            var row = Row(loaded.Row, sheet);
            changes.Add(new ImportChange(sheet.KitId, known is null, [.. Sentences(known, row, sheet)]));
            if (known is null || row.Label != loaded.Row.Label || row.Where != loaded.Row.Where)
            {
                kits.Add(row);
            }

            if (decided.Count > 0)
            {
                appends.Add(new KitFactAppend(loaded, decided));
            }
        }

        if (faults.Count > 0)
        {
            return new Attempt<ImportReply>(null, new ImportReply(faults, [], false, null));
        }

        var reply = new ImportReply([], changes, keep, null);
        return keep && (kits.Count > 0 || appends.Count > 0)
            ? new Attempt<ImportReply>(new AppendBatch([], null, null, _ => Tell(changes)) { Kits = kits, KitFacts = appends }, reply)
            : new Attempt<ImportReply>(null, reply);
    }

    private void Tell(List<ImportChange> changes)
    {
        foreach (var change in changes)
        {
            broadcaster.KitChanged(change.KitId);
        }
    }

    private static (IReadOnlyList<KitFact> Facts, Refusal? Refusal) Facts(KitState state, bool isNew, IReadOnlyList<KitItem> items, Actor by, KitContext context)
    {
        List<KitFact> decided = [];
        if (isNew)
        {
            decided.Add(new KitDrafted(by));
            state = KitFold.Apply(state, new RecordedFact(1, context.Now, decided[0]));
        }

        if (ItemComparison.Changes(state.Items, items).Count == 0)
        {
            return (decided, null);
        }

        var decision = KitDecider.Decide(state, new SetContents(items), by, context);
        return ([.. decided, .. decision.Facts], decision.Refusal);
    }

    private static IEnumerable<string> Sentences(LoadedKit? known, KitEntity row, KitSheet sheet)
    {
        if (known is null)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"Entered as a draft: {row.Label}, {row.Where}, {sheet.Items.Count} lines of contents.");
            yield break;
        }

        if (row.Label != known.Row.Label)
        {
            yield return $"What it is changes from \"{known.Row.Label}\" to \"{row.Label}\".";
        }

        if (row.Where != known.Row.Where)
        {
            yield return $"Where it is changes from \"{known.Row.Where}\" to \"{row.Where}\".";
        }

        foreach (var sentence in ItemComparison.Changes(known.State.Items, sheet.Items).Concat(ItemComparison.BrokenPairs(known.State.Items, sheet.Items)))
        {
            yield return sentence;
        }
    }

    private static LoadedKit New(KitSheet sheet) => new(
        KitState.Empty(sheet.KitId),
        new KitEntity { KitId = sheet.KitId.Value, Label = sheet.Label!, Where = sheet.Where! },
        new IntegrityView(true, null),
        HashChain.Start);

    private static KitEntity Row(KitEntity known, KitSheet sheet) => new()
    {
        KitId = known.KitId,
        Label = sheet.Label ?? known.Label,
        Where = sheet.Where ?? known.Where,
    };
}
