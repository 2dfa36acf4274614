using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Steps;

namespace TeleHearing.Hub.Tests.Sessions.Interleavings;

/// <summary>The site agent's own check of an order, with its own ledger, beside a model of what it should let through.</summary>
internal sealed class KitDoor
{
    private readonly OrderLedger _ledger = OrderLedger.Load("kit", new MemoryFiles());
    private SessionId? _session;
    private readonly Dictionary<SessionId, (long Number, int Epoch)> _seen = [];

    /// <summary>A scene came from the hub.</summary>
    public void Show(SessionId session, int epoch)
    {
        _ledger.Raise(session, epoch);
        _session = session;
        var known = _seen.GetValueOrDefault(session);
        _seen[session] = (known.Number, Math.Max(known.Epoch, epoch));
    }

    /// <summary>Whether the model would begin the order.</summary>
    public bool Accepts(StepOrder order, long now) =>
        order.SessionId == _session
        && now <= order.ExpiresAtHubMs
        && order.OrderNumber > _seen[order.SessionId].Number
        && order.ControlEpoch >= _seen[order.SessionId].Epoch;

    /// <summary>An order number this kit has not seen in a session.</summary>
    public long NextNumber(SessionId session) => _seen[session].Number + 1;

    /// <summary>Gives the order to the agent's check.</summary>
    /// <returns>The code it was refused with; null when it was begun.</returns>
    public string? Carry(StepOrder order, long now)
    {
        if (OrderGate.Check(order, _ledger.Of(order.SessionId), _session, now, stopped: false) is { } refusal)
        {
            return refusal.Code;
        }

        _ledger.Accept(order);
        _ledger.End(order.StepId);
        var known = _seen.GetValueOrDefault(order.SessionId);
        _seen[order.SessionId] = (Math.Max(known.Number, order.OrderNumber), Math.Max(known.Epoch, order.ControlEpoch));
        return null;
    }

    /// <summary>A disk that is memory.</summary>
    private sealed class MemoryFiles : IDurableFiles
    {
        private readonly Dictionary<string, byte[]> _files = [];

        public Stream OpenForAppend(string path) => throw new NotSupportedException("A ledger is replaced, never appended to.");

        public void Flush(Stream stream) => throw new NotSupportedException("A ledger is replaced, never appended to.");

        public byte[]? ReadWhole(string path) => _files.GetValueOrDefault(path);

        public void Replace(string path, ReadOnlySpan<byte> content) => _files[path] = content.ToArray();

        public void Rename(string path, string newPath) => throw new NotSupportedException("A ledger keeps its name.");

        public void Wipe(string path) => _files.Remove(path);

        public IReadOnlyList<string> Find(string folder, string pattern) => throw new NotSupportedException("A ledger knows its name.");
    }
}
