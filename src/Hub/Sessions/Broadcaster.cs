using System.Collections.Concurrent;
using System.Threading.Channels;
using Microsoft.AspNetCore.SignalR;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Log;

namespace TeleHearing.Hub.Sessions;

/// <summary>The only one that tells consoles anything. One loop reads the log by position and shows watchers the newest picture, so a crash loses nothing; commits only wake it.</summary>
internal sealed partial class Broadcaster : BackgroundService
{
    /// <summary>Looks at the log at least this often, also when nobody wakes it: another process may have written.</summary>
    private static readonly TimeSpan _idle = TimeSpan.FromSeconds(1);

    /// <summary>How long it gathers before it tells (design: a person sees no difference).</summary>
    private static readonly TimeSpan _gather = TimeSpan.FromMilliseconds(5);

    /// <summary>Shortest time between two rounds (design: twenty pictures a second).</summary>
    private static readonly TimeSpan _between = TimeSpan.FromMilliseconds(50);

    private readonly IHubContext<ConsoleHub, IConsoleClient> _consoles;
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly IEventLog _events;
    private readonly IServiceProvider _services;
    private readonly ConsoleCovers _covers;
    private readonly TimeProvider _time;
    private readonly ILogger<Broadcaster> _log;
    private readonly HubWire _wire;
    private readonly ConcurrentDictionary<string, Watcher> _watchers = new();
    private readonly ConcurrentQueue<KitId> _kitsChanged = new();
    private int _fleetChanged;
    private long? _toldAt;
    private readonly Channel<bool> _woken = Channel.CreateBounded<bool>(new BoundedChannelOptions(1) { FullMode = BoundedChannelFullMode.DropWrite });

    public Broadcaster(IHubContext<ConsoleHub, IConsoleClient> consoles, IDbContextFactory<HubContext> contexts, IEventLog events, IServiceProvider services, ConsoleCovers covers, TimeProvider time, HubWire wire, ILogger<Broadcaster> log)
    {
        _covers = covers;
        _wire = wire;
        _consoles = consoles;
        (_contexts, _events) = (contexts, events);

        // The reader needs the kit links, which need this one to be told of commits: it is looked up when the loop runs.
        _services = services;
        _time = time;
        _log = log;
    }

    /// <summary>Something was committed here.</summary>
    public void Wake()
    {
        WakeHere();
        _wire.Tell(WireWord.Look);
    }

    /// <summary>Something was committed by another hub.</summary>
    public void WakeHere() => _woken.Writer.TryWrite(true);

    /// <summary>A kit came or went, or something was recorded about it: its own picture and those of its sessions change without an event of theirs.</summary>
    public void KitChanged(KitId kitId)
    {
        KitChangedHere(kitId);
        _wire.Tell(WireWord.Kit, kitId.Value);
    }

    /// <summary>The same at another hub.</summary>
    public void KitChangedHere(KitId kitId)
    {
        _kitsChanged.Enqueue(kitId);
        WakeHere();
    }

    /// <summary>Something was recorded about the fleet, or a session was planned that may want a kit.</summary>
    public void FleetChanged()
    {
        FleetChangedHere();
        _wire.Tell(WireWord.Fleet);
    }

    /// <summary>The same at another hub.</summary>
    public void FleetChangedHere()
    {
        Interlocked.Exchange(ref _fleetChanged, 1);
        WakeHere();
    }

    public void WatchFleet(string connectionId) => WatcherOf(connectionId).WatchesFleet = true;

    public void LeaveFleet(string connectionId)
    {
        if (_watchers.TryGetValue(connectionId, out var watcher))
        {
            watcher.WatchesFleet = false;
        }
    }

    public void WatchBoard(string connectionId, BoardSight sight) => WatcherOf(connectionId).Board = sight;

    public void WatchSession(string connectionId, SessionId sessionId) => WatcherOf(connectionId).Watch(sessionId);

    /// <summary>For an assistant: the pictures of a session as far as their task needs, until it is over.</summary>
    public void WatchTask(string connectionId, SessionId sessionId, string personId) => WatcherOf(connectionId).WatchTask(sessionId, personId);

    /// <summary>Whether a connection watches a session.</summary>
    public bool Watches(string connectionId, SessionId sessionId) => _watchers.TryGetValue(connectionId, out var watcher) && watcher.Watches(sessionId);

    public void WatchKit(string connectionId, KitId kitId, bool seesSessions) => WatcherOf(connectionId).Watch(kitId, seesSessions);

    public void LeaveKit(string connectionId, KitId kitId)
    {
        if (_watchers.TryGetValue(connectionId, out var watcher))
        {
            watcher.Leave(kitId);
        }
    }

    public void WatchKitBoard(string connectionId) => WatcherOf(connectionId).WatchesKitBoard = true;

    public void LeaveSession(string connectionId, SessionId sessionId)
    {
        if (_watchers.TryGetValue(connectionId, out var watcher))
        {
            watcher.Leave(sessionId);
        }
    }

    public void Leave(string connectionId) => _watchers.TryRemove(connectionId, out _);

    /// <summary>Passes a live signal to those who watch its session, at whichever hub.</summary>
    public void Pass(LiveSignal signal)
    {
        PassHere(signal);
        _wire.Tell(WireWord.Signal, signal: signal);
    }

    /// <summary>Passes one to those who watch here.</summary>
    public void PassHere(LiveSignal signal)
    {
        foreach (var watcher in _watchers.Values)
        {
            watcher.Pass(signal);
        }
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        try
        {
            var position = await LastPosition(stoppingToken);
            using var idle = _time.CreateTimer(_ => WakeHere(), null, _idle, _idle);
            while (!stoppingToken.IsCancellationRequested)
            {
                await _woken.Reader.ReadAsync(stoppingToken);
                await Gather(stoppingToken);
                try
                {
                    position = await TellFrom(position, stoppingToken);

                    // Those uncovered since are told what was kept from them.
                    foreach (var watcher in _watchers.Values)
                    {
                        watcher.Resume();
                    }
                }
                catch (Exception fault) when (fault is not (OperationCanceledException or OutOfMemoryException))
                {
                    // The position has not moved: the next round tells the same again.
                    Log.Failed(_log, fault);
                    await Task.Delay(_idle, _time, stoppingToken);
                }
            }
        }
        catch (OperationCanceledException)
        {
            // The hub is shutting down.
        }
    }

    /// <summary>Clock of the gathering, set before it runs. Of the machine, not of the hub: a clock that stands still in a test must not keep anybody waiting.</summary>
    public TimeProvider GatherClock { get; set; } = TimeProvider.System;

    /// <summary>Leaves a moment to those whose commands wait, then tells what came together: of several changes only the newest picture is made.</summary>
    private async Task Gather(CancellationToken cancellationToken)
    {
        var since = _toldAt is { } at ? GatherClock.GetElapsedTime(at) : _between;
        await Task.Delay(_between - since > _gather ? _between - since : _gather, GatherClock, cancellationToken);
        _woken.Reader.TryRead(out _);
        _toldAt = GatherClock.GetTimestamp();
    }

    private async Task<long> LastPosition(CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        return await context.SessionEvents.MaxAsync(row => (long?)row.Position, cancellationToken) ?? 0;
    }

    private async Task<long> TellFrom(long position, CancellationToken cancellationToken)
    {
        // Read and cleared in one: what changes after this is told in the next round.
        var fleet = Interlocked.Exchange(ref _fleetChanged, 0) == 1;
        var kits = new HashSet<KitId>();
        while (_kitsChanged.TryDequeue(out var kitId))
        {
            kits.Add(kitId);
        }

        try
        {
            return await TellFrom(position, kits, fleet, cancellationToken);
        }
        catch
        {
            // Nothing of it counts as told.
            if (fleet)
            {
                Interlocked.Exchange(ref _fleetChanged, 1);
            }

            foreach (var kitId in kits)
            {
                _kitsChanged.Enqueue(kitId);
            }

            throw;
        }
    }

    private async Task<long> TellFrom(long position, IReadOnlySet<KitId> kits, bool fleet, CancellationToken cancellationToken)
    {
        var reader = _services.GetRequiredService<SessionReader>();
        var changed = new HashSet<SessionId>();
        foreach (var kitId in kits)
        {
            await TellKit(kitId, cancellationToken);
            changed.UnionWith(await reader.Waiting(kitId, cancellationToken));
        }

        var (last, sessions) = await ReadFrom(position, cancellationToken);
        changed.UnionWith(sessions);
        foreach (var sessionId in changed)
        {
            await Tell(reader, sessionId, cancellationToken);

            // Whatever else waits for a thread comes between two pictures: twenty in a row are some milliseconds that a stop would wait behind.
            await Task.Yield();
        }

        if (changed.Count > 0 || kits.Count > 0)
        {
            await TellBoard(cancellationToken);
        }

        // Where a loan stands is told by its kit.
        if (fleet || kits.Count > 0)
        {
            await TellFleet(cancellationToken);
        }

        if (kits.Count > 0)
        {
            await TellKitBoard(kits, cancellationToken);
        }

        return last;
    }

    private async Task<(long Last, IReadOnlyList<SessionId> Sessions)> ReadFrom(long position, CancellationToken cancellationToken)
    {
        var changed = await _events.FindChanged(position, cancellationToken);
        return (changed.Count == 0 ? position : changed.Max(session => session.Last), [.. changed.Select(session => session.SessionId)]);
    }

    private async Task Tell(SessionReader reader, SessionId sessionId, CancellationToken cancellationToken)
    {
        var watching = _watchers.Values.Where(watcher => watcher.Watches(sessionId)).ToList();
        if (watching.Count > 0 && await reader.Read(sessionId, cancellationToken) is { } view)
        {
            watching.ForEach(watcher => watcher.Show(view));
        }
    }

    private async Task TellKit(KitId kitId, CancellationToken cancellationToken)
    {
        var watching = _watchers.Values.Where(watcher => watcher.Watches(kitId)).ToList();
        if (watching.Count > 0 && await _services.GetRequiredService<KitFacts>().Read(kitId, cancellationToken) is { } view)
        {
            watching.ForEach(watcher => watcher.Show(view));
        }
    }

    private async Task TellBoard(CancellationToken cancellationToken)
    {
        var board = _services.GetRequiredService<Board>();
        foreach (var group in _watchers.Values.Where(watcher => watcher.Board is not null).GroupBy(watcher => watcher.Board!).ToList())
        {
            var view = await board.Read(group.Key, cancellationToken);
            foreach (var watcher in group)
            {
                watcher.Show(view);
            }
        }
    }

    private async Task TellFleet(CancellationToken cancellationToken)
    {
        var watching = _watchers.Values.Where(watcher => watcher.WatchesFleet).ToList();
        if (watching.Count > 0)
        {
            var view = await _services.GetRequiredService<FleetFacts>().Read(cancellationToken);
            watching.ForEach(watcher => watcher.Show(view));
        }
    }

    private async Task TellKitBoard(IReadOnlySet<KitId> kits, CancellationToken cancellationToken)
    {
        var watching = _watchers.Values.Where(watcher => watcher.WatchesKitBoard).ToList();
        if (watching.Count > 0)
        {
            var changed = await _services.GetRequiredService<KitBoardReader>().Read(kits, cancellationToken);
            watching.ForEach(watcher => watcher.Show(changed));
        }
    }

    private Watcher WatcherOf(string connectionId) => _watchers.GetOrAdd(
        connectionId,
        id => new Watcher(_consoles.Clients.Client(id), () => _covers.Covers(id), fault => Log.SendFailed(_log, fault), () => Cut(id), _time));

    private void Cut(string connectionId)
    {
        Log.Stalled(_log, connectionId);
        Leave(connectionId);
        _services.GetRequiredService<LivePeople>().Cut(connectionId);
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 3001, Level = LogLevel.Error, Message = "Watchers could not be told; trying again")]
        public static partial void Failed(ILogger logger, Exception fault);

        [LoggerMessage(EventId = 3003, Level = LogLevel.Warning, Message = "Connection {Connection} takes nothing that it is told, and was cut")]
        public static partial void Stalled(ILogger logger, string connection);

        [LoggerMessage(EventId = 3002, Level = LogLevel.Debug, Message = "A console could not be told")]
        public static partial void SendFailed(ILogger logger, Exception fault);
    }
}
