namespace TeleHearing.Hub.Storage.Log;

/// <summary>In what databases differ on the way of an append.</summary>
internal abstract class LogDialect
{
    /// <summary>Whether the database says that another connection has committed anything. Where it cannot, every session is read and verified at each use.</summary>
    public abstract bool TellsOfOthers { get; }

    /// <summary>Takes over a context whose connection is open, to write on it.</summary>
    public abstract LogConnection Connect(HubContext context);

    /// <summary>Waits for a turn of <see cref="StoreTurn"/> inside a transaction; absent where the transaction itself says so.</summary>
    public abstract string? Take(long turn);
}

/// <summary>SQLite: a transaction that writes has the whole file for itself.</summary>
internal sealed class SqliteDialect : LogDialect
{
    public override bool TellsOfOthers => true;

    public override LogConnection Connect(HubContext context) => new FileLogConnection(context);

    public override string? Take(long turn) => null;
}

/// <summary>PostgreSQL: several hubs write, one at a time.</summary>
internal sealed class PostgresDialect : LogDialect
{
    public override bool TellsOfOthers => false;

    public override LogConnection Connect(HubContext context) => new ServerLogConnection(context);

    public override string Take(long turn) => System.FormattableString.Invariant($"SELECT pg_advisory_xact_lock({turn})");
}
