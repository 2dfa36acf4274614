using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Journal;

/// <summary>The newest heads of the hub's chains that this kit was told, to be shown back at the next hello. Ids and hashes alone, nothing about a person.</summary>
/// <remarks>A file that cannot be read counts as none, and one that cannot be written is kept in memory: the kit serves with or without it. Called from the loops of one link at a time; thread-safe.</remarks>
internal sealed partial class HeldHeads(string folder, IDurableFiles files, ILogger<HeldHeads> logger)
{
    private const string FileName = "heads.json";

    private readonly Lock _lock = new();
    private List<HeldHead>? _held;

    /// <summary>What is held, the last told last.</summary>
    public IReadOnlyList<HeldHead> Now
    {
        get
        {
            lock (_lock)
            {
                return _held ??= Read();
            }
        }
    }

    /// <summary>Takes what the hub told. A head older than the one held of the same chain is not taken: it would hide what is gone.</summary>
    public void Take(IReadOnlyList<HeldHead>? told)
    {
        if (told is not { Count: > 0 })
        {
            return;
        }

        lock (_lock)
        {
            var held = _held ??= Read();
            var newer = told.Where(head => held.All(known => known.Chain != head.Chain || known.Sequence < head.Sequence)).ToList();
            if (newer.Count == 0)
            {
                return;
            }

            _held = [.. held.Where(known => newer.TrueForAll(head => head.Chain != known.Chain)).Concat(newer).TakeLast(HeldHead.MostHeld)];
            try
            {
                StorageFaultException.Guard(() => files.Replace(Path.Combine(folder, FileName), JsonSerializer.SerializeToUtf8Bytes(_held, Protocol.Json)));
            }
            catch (StorageFaultException fault)
            {
                Log.NotKept(logger, fault);
            }
        }
    }

    private List<HeldHead> Read()
    {
        try
        {
            return StorageFaultException.Guard(() => files.ReadWhole(Path.Combine(folder, FileName))) is { } bytes
                ? JsonSerializer.Deserialize<List<HeldHead>>(bytes, Protocol.Json) ?? []
                : [];
        }
        catch (Exception fault) when (fault is JsonException or StorageFaultException)
        {
            Log.NotRead(logger, fault);
            return [];
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 2121, Level = LogLevel.Warning, Message = "The heads of the hub's chains could not be kept on the disk.")]
        public static partial void NotKept(ILogger logger, Exception fault);

        [LoggerMessage(EventId = 2122, Level = LogLevel.Warning, Message = "The heads of the hub's chains could not be read; the kit begins with none.")]
        public static partial void NotRead(ILogger logger, Exception fault);
    }
}
