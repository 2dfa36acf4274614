using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Clinician.Web.State;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Kits.Board;

/// <summary>The newest kit board, kept for the whole tab: reading all of it anew with every page would cost more than the few lines that change. Holds no truth.</summary>
public sealed class KitBoardStore : IDisposable
{
    // A board of this age is shown and read anew, so that no day goes by unseen in a tab that stays open.
    private static readonly TimeSpan _old = TimeSpan.FromMinutes(5);

    private readonly IConsoleLink _link;
    private readonly HubClock _clock;
    private Dictionary<KitId, KitBoardRow> _rows = [];
    private bool _watching;

    /// <summary>Makes an empty store on a link.</summary>
    public KitBoardStore(IConsoleLink link, HubClock clock)
    {
        (_link, _clock) = (link, clock);
        _link.KitBoardChanged += Merge;
        _link.PhaseChanged += WatchAgain;
    }

    /// <summary>Every kit, once it has come.</summary>
    public KitBoardView? Board { get; private set; }

    /// <summary>Which kits are looked at.</summary>
    public KitListing Listing { get; private set; } = new();

    /// <summary>The board or the choice of kits changed.</summary>
    public event Action? Changed;

    /// <summary>Lines of these kits changed; <see cref="Changed"/> follows.</summary>
    public event Action<IReadOnlyCollection<KitId>>? KitsChanged;

    /// <summary>Looks at other kits, or in another order.</summary>
    public void Look(KitListing listing)
    {
        Listing = listing;
        Changed?.Invoke();
    }

    /// <summary>Begins to watch; after every reconnect it watches again by itself.</summary>
    public Task Watch()
    {
        var known = _watching && Board is { } board && _clock.Now - board.HubTime < _old;
        _watching = true;
        return _link.Phase == LinkPhase.Connected && !known ? Fetch() : Task.CompletedTask;
    }

    /// <inheritdoc />
    public void Dispose()
    {
        _link.KitBoardChanged -= Merge;
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
            var board = await _link.WatchKitBoard(CancellationToken.None);
            _clock.Hear(board.HubTime);
            _rows = board.Rows.ToDictionary(row => row.KitId);
            KitsChanged?.Invoke(_rows.Keys);
            Show(board);
        }
        catch (Exception fault) when (LinkFaults.Covers(fault))
        {
            // The link broke on the way; the next connection watches again.
        }
    }

    private void Merge(KitBoardView changed)
    {
        _clock.Hear(changed.HubTime);
        if (Board is not { } board || changed.HubTime < board.HubTime)
        {
            return;
        }

        if (changed.Today != board.Today)
        {
            // Every line counts its days from today.
            _ = Fetch();
            return;
        }

        foreach (var row in changed.Rows)
        {
            _rows[row.KitId] = row;
        }

        KitsChanged?.Invoke([.. changed.Rows.Select(row => row.KitId)]);
        Show(changed with { Rows = [.. _rows.Values] });
    }

    private void Show(KitBoardView board)
    {
        Board = board;
        Changed?.Invoke();
    }
}
