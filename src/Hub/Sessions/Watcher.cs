using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Sessions.Views;

namespace TeleHearing.Hub.Sessions;

/// <summary>One console's connection as the broadcaster sees it: what it watches, and what is on its way to it. A slow console gets the newest picture and never holds up another one; a covered one gets nothing until it is uncovered, and then the newest.</summary>
internal sealed class Watcher
{
    /// <summary>Live signals kept for a console that does not take them; more are dropped, for late ones mean nothing.</summary>
    private const int SignalsKept = 64;

    /// <summary>How long one message may be on its way to a peer that does not take it; then its connection is cut (design). It comes back by itself and sees everything as it is then.</summary>
    public static readonly TimeSpan LongestSend = TimeSpan.FromSeconds(5);

    private readonly Lock _lock = new();
    private readonly Dictionary<SessionId, SessionView?> _sessions = [];
    private readonly Dictionary<KitId, KitView?> _kits = [];
    private readonly Dictionary<SessionId, string> _tasks = [];
    private readonly Queue<LiveSignal> _signals = new();
    private readonly Dictionary<SessionId, LiveSignal> _rooms = [];
    private readonly IConsoleClient _client;
    private readonly Func<bool> _covered;
    private readonly Action<Exception> _fault;
    private readonly Action _cut;
    private readonly TimeProvider _time;
    private readonly Dictionary<KitId, KitBoardRow> _kitRows = [];
    private BoardView? _board;
    private FleetView? _fleet;
    private KitBoardView? _kitBoard;
    private bool _seesSessions;
    private bool _sending;
    private bool _held;

    public Watcher(IConsoleClient client, Func<bool> covered, Action<Exception> fault, Action cut, TimeProvider time)
    {
        _cut = cut;
        _time = time;
        _client = client;
        _covered = covered;
        _fault = fault;
    }

    /// <summary>What it sees of the board; null when it watches none.</summary>
    public BoardSight? Board { get; set; }

    /// <summary>Whether it watches the fleet.</summary>
    public bool WatchesFleet { get; set; }

    /// <summary>Whether it watches the kit board.</summary>
    public bool WatchesKitBoard { get; set; }

    /// <summary>Shows lines of the kit board that changed; of lines still on their way only the newest are sent.</summary>
    public void Show(KitBoardView changed)
    {
        lock (_lock)
        {
            if (WatchesKitBoard)
            {
                _kitBoard = changed;
                foreach (var row in changed.Rows)
                {
                    _kitRows[row.KitId] = row;
                }

                SendInsideLock();
            }
        }
    }

    public void Watch(SessionId sessionId)
    {
        lock (_lock)
        {
            _sessions.TryAdd(sessionId, null);
        }
    }

    /// <summary>Watches the task of an assistant.</summary>
    public void WatchTask(SessionId sessionId, string personId)
    {
        lock (_lock)
        {
            _tasks[sessionId] = personId;
            _sessions.TryAdd(sessionId, null);
        }
    }

    public void Leave(SessionId sessionId)
    {
        lock (_lock)
        {
            _tasks.Remove(sessionId);
            _sessions.Remove(sessionId);
            _rooms.Remove(sessionId);
        }
    }

    /// <summary>Watches a kit, with the notes of reviewed sessions only for those who may see sessions.</summary>
    public void Watch(KitId kitId, bool seesSessions)
    {
        lock (_lock)
        {
            _seesSessions = seesSessions;
            _kits.TryAdd(kitId, null);
        }
    }

    public void Leave(KitId kitId)
    {
        lock (_lock)
        {
            _kits.Remove(kitId);
        }
    }

    public bool Watches(KitId kitId)
    {
        lock (_lock)
        {
            return _kits.ContainsKey(kitId);
        }
    }

    public void Show(KitView view)
    {
        lock (_lock)
        {
            if (_kits.ContainsKey(view.KitId))
            {
                _kits[view.KitId] = _seesSessions ? view : KitViewForCare.WithoutSessions(view);
                SendInsideLock();
            }
        }
    }

    public bool Watches(SessionId sessionId)
    {
        lock (_lock)
        {
            return _sessions.ContainsKey(sessionId);
        }
    }

    public void Show(SessionView view)
    {
        lock (_lock)
        {
            if (_sessions.ContainsKey(view.SessionId))
            {
                _sessions[view.SessionId] = _tasks.TryGetValue(view.SessionId, out var person) ? TaskPicture.Of(view, person) : view;
                SendInsideLock();
            }
        }
    }

    public void Show(BoardView board)
    {
        lock (_lock)
        {
            _board = board;
            SendInsideLock();
        }
    }

    public void Show(FleetView fleet)
    {
        lock (_lock)
        {
            _fleet = fleet;
            SendInsideLock();
        }
    }

    public void Pass(LiveSignal signal)
    {
        lock (_lock)
        {
            if (!_sessions.ContainsKey(signal.SessionId) || (_tasks.ContainsKey(signal.SessionId) && signal.Kind != LiveSignalKind.RoomHeard))
            {
                // An assistant at the site must not learn from the console when a tone sounds.
                return;
            }

            if (signal.Kind == LiveSignalKind.RoomHeard)
            {
                // Several a second: only the newest is worth sending, and it must not crowd out the lamps.
                _rooms[signal.SessionId] = signal;
                SendInsideLock();
            }
            else if (_signals.Count < SignalsKept)
            {
                _signals.Enqueue(signal);
                SendInsideLock();
            }
        }
    }

    /// <summary>Sends what was kept back while the console was covered.</summary>
    public void Resume()
    {
        lock (_lock)
        {
            if (_held && !_covered())
            {
                _held = false;
                SendInsideLock();
            }
        }
    }

    private void SendInsideLock()
    {
        if (!_sending)
        {
            _sending = true;
            _ = Aside.Run(Send);
        }
    }

    private async Task Send()
    {
        try
        {
            while (Next() is { } send)
            {
                await send.WaitAsync(LongestSend, _time);
            }
        }
        catch (TimeoutException stalled)
        {
            _fault(stalled);
            _cut();
        }
        catch (Exception fault) when (fault is not OutOfMemoryException)
        {
            // The connection broke: its disconnect removes this watcher. What was pending is of no use to anyone.
            _fault(fault);
        }
    }

    private Task? Next()
    {
        lock (_lock)
        {
            if (_covered())
            {
                // Signals are of the moment; of pictures the newest stay.
                _signals.Clear();
                _rooms.Clear();
                _held = true;
                _sending = false;
                return null;
            }

            if (_signals.TryDequeue(out var signal))
            {
                return _client.Signalled(signal);
            }

            if (_board is { } board)
            {
                _board = null;
                return _client.BoardChanged(board);
            }

            if (_fleet is { } fleet)
            {
                _fleet = null;
                return _client.FleetChanged(fleet);
            }

            if (_kitBoard is { } kitBoard)
            {
                var changed = kitBoard with { Rows = [.. _kitRows.Values] };
                _kitBoard = null;
                _kitRows.Clear();
                return _client.KitBoardChanged(changed);
            }

            foreach (var (sessionId, view) in _sessions)
            {
                if (view is not null)
                {
                    _sessions[sessionId] = null;
                    return _client.SessionChanged(view);
                }
            }

            foreach (var (kitId, view) in _kits)
            {
                if (view is not null)
                {
                    _kits[kitId] = null;
                    return _client.KitChanged(view);
                }
            }

            foreach (var (sessionId, room) in _rooms)
            {
                _rooms.Remove(sessionId);
                return _client.Signalled(room);
            }

            _sending = false;
            return null;
        }
    }
}
