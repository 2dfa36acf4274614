using FsCheck;
using FsCheck.Fluent;
using Microsoft.Data.Sqlite;
using SQLitePCL;
using TeleHearing.Hub.Storage.Log;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>Statements by SQLite's own interface against its driver for .NET, on one real file: what one stores the other would have stored.</summary>
public sealed class FileStatementTests : IDisposable
{
    private readonly TempFolder _folder = new();
    private readonly SqliteConnection _connection;

    public FileStatementTests()
    {
        _connection = new SqliteConnection($"Data Source={_folder.Inside("log.db")};Pooling=False");
        _connection.Open();
        Driver("CREATE TABLE kept (Id INTEGER PRIMARY KEY, Value)");
    }

    private sqlite3 File => _connection.Handle!;

    [Fact]
    public void AnyTextIsStoredAsTheDriverStoresIt() => Any<string?>();

    [Fact]
    public void AnyBytesAreStoredAsTheDriverStoresThem() => Any<byte[]>();

    [Fact]
    public void AnyNumberFlagAndIdIsStoredAsTheDriverStoresIt()
    {
        Any<long>();
        Any<int>();
        Any<bool>();
        Any<Guid>();
    }

    [Theory]
    [InlineData("")]
    [InlineData("\0 in the middle \0")]
    [InlineData("Größe, 聴力, 🦻")]
    [InlineData(null)]
    public void TextsAtTheEdgeAreStoredAsTheDriverStoresThem(string? text) => Same(text);

    [Fact]
    public void ALongTextIsStoredWhole() => Same(string.Concat(Enumerable.Repeat("é", 5_000)));

    [Fact]
    public async Task WhatIsReadIsWhatWasStored()
    {
        await using var put = new FileStatement(File, "INSERT INTO kept (Value) VALUES (@value)", ["value"]);
        await using var get = new FileStatement(File, "SELECT Value FROM kept ORDER BY Id DESC LIMIT 1", []);
        Assert.Null(get.Ask());
        foreach (var value in new object[] { 41L, "text", new byte[] { 0, 1, 2 } })
        {
            Assert.Equal(1, put.Do(value));
            Assert.Equal(value, Assert.Single(get.Ask()!));
        }

        put.Do((object?)null);
        Assert.Equal(DBNull.Value, Assert.Single(get.Ask()!));
    }

    [Fact]
    public async Task ARefusalIsTheDriversOwnAndTheStatementGoesOnAfterIt()
    {
        await using var put = new FileStatement(File, "INSERT INTO kept (Id, Value) VALUES (@id, @value)", ["id", "value"]);
        Assert.Equal(1, put.Do(1L, "first"));

        var refused = Assert.Throws<SqliteException>(() => put.Do(1L, "again"));

        Assert.Equal(raw.SQLITE_CONSTRAINT, refused.SqliteErrorCode);
        Assert.Equal(1, put.Do(2L, "next"));
        Assert.Equal([("1", "first"), ("2", "next")], Kept());
    }

    [Fact]
    public void WhatHasNoPlaceInTheLogIsRefusedAndNothingIsStored()
    {
        var put = new FileStatement(File, "INSERT INTO kept (Value) VALUES (@value)", ["value"]);

        Assert.Throws<ArgumentException>(() => put.Do(1.5m));

        Assert.Empty(Kept());
    }

    [Fact]
    public async Task ANameThatIsNotThereAndAValueTooFewAreRefused()
    {
        Assert.Throws<ArgumentException>(() => new FileStatement(File, "INSERT INTO kept (Value) VALUES (@value)", ["another"]));
        await using var put = new FileStatement(File, "INSERT INTO kept (Id, Value) VALUES (@id, @value)", ["id", "value"]);

        Assert.Throws<ArgumentException>(() => put.Do(1L));

        Assert.Empty(Kept());
    }

    public void Dispose()
    {
        _connection.Dispose();
        _folder.Dispose();
    }

    private void Same(object? value)
    {
        Driver("DELETE FROM kept");
        using var command = _connection.CreateCommand();
        command.CommandText = "INSERT INTO kept (Id, Value) VALUES (1, $value)";
        command.Parameters.AddWithValue("$value", value ?? DBNull.Value);
        command.ExecuteNonQuery();
        var put = new FileStatement(File, "INSERT INTO kept (Id, Value) VALUES (2, @value)", ["value"]);
        Assert.Equal(1, put.Do(value));
        Assert.Equal(1L, Driver("SELECT COUNT(DISTINCT typeof(Value) || ' ' || quote(CAST(Value AS BLOB))) FROM kept"));
    }

    private void Any<T>() => Check.One(Config.QuickThrowOnFailure, Prop.ForAll(ArbMap.Default.ArbFor<T>(), value => Same(value)));

    private object? Driver(string sql)
    {
        using var command = _connection.CreateCommand();
        command.CommandText = sql;
        return command.ExecuteScalar();
    }

    private List<(string Id, string Value)> Kept()
    {
        using var command = _connection.CreateCommand();
        command.CommandText = "SELECT Id, Value FROM kept ORDER BY Id";
        using var reader = command.ExecuteReader();
        var kept = new List<(string, string)>();
        while (reader.Read())
        {
            kept.Add((reader.GetString(0), reader.GetString(1)));
        }

        return kept;
    }
}
