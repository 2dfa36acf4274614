namespace TeleHearing.Hub.Planning.Solving;

/// <summary>Finds bounds beside the search.</summary>
internal static class BoundWatch
{
    /// <summary>First what must stay without a kit; then, for every better plan, the least lateness of plans that place as much.</summary>
    public static void Run(SearchBoard board, CancellationToken cancellationToken)
    {
        using var bounds = new FleetBounds(board.Index, board.Score.UncoveredDays);
        if (bounds.LeastUnplacedWeight(cancellationToken) is not { } unplaced)
        {
            return;
        }

        board.BoundUnplaced(unplaced);
        for (long? last = null; !cancellationToken.IsCancellationRequested;)
        {
            var now = board.Score.UnplacedWeight;
            if (board.Settled && now != last && bounds.LeastLateness(now, cancellationToken) is { } lateness)
            {
                board.BoundLateness(lateness);
                last = now;
            }
            else
            {
                // A better plan is seldom; a tenth of a second more is nothing against the programme itself.
                cancellationToken.WaitHandle.WaitOne(TimeSpan.FromMilliseconds(100));
            }
        }
    }
}
