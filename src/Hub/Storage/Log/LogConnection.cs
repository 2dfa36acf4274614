namespace TeleHearing.Hub.Storage.Log;

/// <summary>The connection on which a log writes: its transaction and its prepared statements. One group at a time.</summary>
internal abstract class LogConnection : IAsyncDisposable
{
    /// <summary>Makes a statement ready, to be used many times.</summary>
    /// <param name="sql">Its text.</param>
    /// <param name="parameters">Names of its parameters, in the order in which values are given.</param>
    public abstract LogStatement Prepare(string sql, params ReadOnlySpan<string> parameters);

    /// <summary>A number that changes when another connection has committed anything; absent where the database cannot say that.</summary>
    public abstract long? OthersWrote();

    /// <summary>Begins a transaction that writes.</summary>
    public abstract Task Begin();

    /// <summary>Durable when this returns.</summary>
    public abstract Task Commit();

    /// <summary>Takes back what was not committed. After this another transaction may begin.</summary>
    public abstract ValueTask End();

    /// <summary>Remembers this place inside the transaction.</summary>
    public abstract Task Mark();

    /// <summary>Lets go of the place that was remembered, and with <paramref name="keep"/> false of all that was written since.</summary>
    public abstract Task Unmark(bool keep);

    /// <summary>The context, inside the transaction.</summary>
    public abstract Task<HubContext> Context();

    public abstract ValueTask DisposeAsync();
}

/// <summary>A prepared statement.</summary>
internal abstract class LogStatement : IAsyncDisposable
{
    /// <summary>Carries it out.</summary>
    /// <param name="values">Texts, numbers, flags, ids and bytes, one for each parameter.</param>
    /// <returns>How many rows it changed.</returns>
    public abstract Task<int> Run(params ReadOnlySpan<object?> values);

    /// <summary>Asks.</summary>
    /// <returns>The first row, numbers as <see cref="long"/>; null when there is none.</returns>
    public abstract Task<object[]?> First(params ReadOnlySpan<object?> values);

    public abstract ValueTask DisposeAsync();
}
