using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>The newest start page, kept for the whole tab.</summary>
public sealed class BoardStore : IDisposable
{
    private readonly IConsoleLink _link;
    private readonly HubClock _clock;
    private bool _watching;

    /// <summary>Makes an empty store on a link.</summary>
    public BoardStore(IConsoleLink link, HubClock clock)
    {
        (_link, _clock) = (link, clock);
        _link.BoardChanged += Take;
        _link.PhaseChanged += WatchAgain;
    }

    /// <summary>The start page, once it has come.</summary>
    public BoardView? Board { get; private set; }

    /// <summary>A newer start page came.</summary>
    public event Action? Changed;

    /// <summary>Begins to watch; after every reconnect it watches again by itself.</summary>
    public Task Watch()
    {
        _watching = true;
        return _link.Phase == LinkPhase.Connected ? Fetch() : Task.CompletedTask;
    }

    /// <inheritdoc />
    public void Dispose()
    {
        _link.BoardChanged -= Take;
        _link.PhaseChanged -= WatchAgain;
    }

    private void WatchAgain()
    {
        if (_watching && _link.Phase == LinkPhase.Connected)
        {
            _ = Fetch();
        }
    }

    private async Task Fetch()
    {
        try
        {
            Take(await _link.WatchBoard(CancellationToken.None));
        }
        catch (Exception fault) when (LinkFaults.Covers(fault))
        {
            // The link broke on the way; the next connection watches again.
        }
    }

    private void Take(BoardView board)
    {
        _clock.Hear(board.HubTime);
        if (Board is null || board.HubTime >= Board.HubTime)
        {
            Board = board;
            Changed?.Invoke();
        }
    }
}
