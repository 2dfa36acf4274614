using System.Collections.Concurrent;
using TeleHearing.Contracts;
using TeleHearing.Links;
using TeleHearing.Testing.Messages;

namespace TeleHearing.EndToEnd.Tests.Faults;

/// <summary>One link in one direction.</summary>
/// <param name="Path">The hub it goes to.</param>
/// <param name="Direction">Which way.</param>
internal sealed record WireWay(string Path, LinkDirection Direction)
{
    /// <summary>All four between hub, kit and console.</summary>
    public static IReadOnlyList<WireWay> All { get; } =
    [
        new(Protocol.KitHubPath, LinkDirection.FromHub), new(Protocol.ConsoleHubPath, LinkDirection.FromHub),
        new(Protocol.KitHubPath, LinkDirection.ToHub), new(Protocol.ConsoleHubPath, LinkDirection.ToHub),
    ];
}

/// <summary>Sits in a <see cref="MessageProxy"/> and, when armed, does one thing of a class of errors to one record.</summary>
internal sealed class Tampering
{
    /// <summary>Records of ended connections that can still be sent to somebody else.</summary>
    private const int Kept = 100;

    private readonly Lock _gate = new();
    private readonly ConcurrentDictionary<WireWay, ConcurrentQueue<(int Connection, string Text)>> _passed = new();
    private readonly Mutator _mutator;
    private Armed? _armed;

    public Tampering(MessageProxy proxy, int seed)
    {
        _mutator = new Mutator(seed);
        proxy.Tamper = record => Task.FromResult(Pass(record));
    }

    /// <summary>Has it act on the next record that way, after letting some pass.</summary>
    /// <returns>What was changed, once it is done.</returns>
    public Task<string> Arm(CommunicationError error, WireWay way, int skip)
    {
        var armed = new Armed(error, way, skip);
        lock (_gate)
        {
            _armed = armed;
        }

        return armed.Done.Task;
    }

    private IReadOnlyList<string> Pass(WireRecord record)
    {
        var way = new WireWay(record.Connection.Path, record.Direction);
        var passed = _passed.GetOrAdd(way, _ => new());
        try
        {
            lock (_gate)
            {
                // The first record of a connection agrees on the protocol and the last one ends it; a fault in either is seen at once by SignalR itself.
                if (_armed is not { } armed || armed.Way != way || record.Kind is not (1 or 3 or 6) || armed.Skip-- > 0)
                {
                    return [record.Text];
                }

                var due = $"{(char)LinkSeal.SealStart}{record.Number}.";
                var elsewhere = passed.Where(one => one.Connection != record.Connection.Number).Select(one => one.Text).ToList();
                var others = elsewhere.Where(text => text.Contains(due, StringComparison.Ordinal)).ToList();
                var changed = _mutator.Change(armed.Error, record, others.Count > 0 ? others : elsewhere, out var complete);
                if (complete)
                {
                    _armed = null;
                    armed.Done.TrySetResult(record.Target.Length > 0 ? record.Target : $"message of kind {record.Kind}");
                }

                return changed;
            }
        }
        finally
        {
            passed.Enqueue((record.Connection.Number, record.Text));
            if (passed.Count > Kept)
            {
                passed.TryDequeue(out _);
            }
        }
    }

    private sealed class Armed(CommunicationError error, WireWay way, int skip)
    {
        public CommunicationError Error { get; } = error;

        public WireWay Way { get; } = way;

        public int Skip { get; set; } = skip;

        public TaskCompletionSource<string> Done { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);
    }
}
