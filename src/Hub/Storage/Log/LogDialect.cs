namespace TeleHearing.Hub.Storage.Log;

/// <summary>In what databases differ on the way of an append.</summary>
internal abstract class LogDialect
{
    /// <summary>Asks for a number that changes when another connection has committed anything; absent where the database cannot say that: then every session is read and verified at each use.</summary>
    public abstract string? OthersWrote { get; }

    /// <summary>Waits for a turn of <see cref="StoreTurn"/> inside a transaction; absent where the transaction itself says so.</summary>
    public abstract string? Take(long turn);
}

/// <summary>SQLite: a transaction that writes has the whole file for itself.</summary>
internal sealed class SqliteDialect : LogDialect
{
    /// <summary>"The integer values returned by two invocations of PRAGMA data_version from the same connection will be different if changes were committed to the database by any other connection in the interim" (sqlite.org/pragma.html).</summary>
    public override string OthersWrote => "PRAGMA data_version";

    public override string? Take(long turn) => null;
}

/// <summary>PostgreSQL: several hubs write, one at a time.</summary>
internal sealed class PostgresDialect : LogDialect
{
    public override string? OthersWrote => null;

    public override string Take(long turn) => System.FormattableString.Invariant($"SELECT pg_advisory_xact_lock({turn})");
}
