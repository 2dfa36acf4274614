namespace TeleHearing.Hub.Storage.Log;

/// <summary>An append that waits to be written, and whoever waits for what it comes to.</summary>
internal sealed class WaitingAppend(AppendRows rows, CancellationToken cancellation)
{
    public AppendRows Rows { get; } = rows;

    public CancellationToken Cancellation { get; } = cancellation;

    /// <summary>Whether it only waits until all before it are written.</summary>
    public bool IsEnd { get; init; }

    public TaskCompletionSource<AppendOutcome> Done { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public void Settle(AppendOutcome outcome, long seen)
    {
        try
        {
            if (outcome == AppendOutcome.Appended)
            {
                Rows.Committed(seen);
            }

            Done.TrySetResult(outcome);
        }
#pragma warning disable CA1031 // whatever goes wrong must reach who waits, and must not end the log
        catch (Exception fault)
#pragma warning restore CA1031 // as before
        {
            Done.TrySetException(fault);
        }
    }

    public void Fail(Exception fault)
    {
        if (StoreFaults.IsBrokenKey(fault))
        {
            // Another process was faster between the look and the writing.
            Done.TrySetResult(AppendOutcome.LostRace);
        }
        else
        {
            Done.TrySetException(fault is CommitFailed { InnerException: { } cause } ? cause : fault);
        }
    }
}

/// <summary>The commit itself failed, so that nothing of the group is tried again.</summary>
internal sealed class CommitFailed(Exception fault) : Exception("The commit failed.", fault);
