using System.Buffers;
using System.Text;
using Microsoft.Data.Sqlite;
using SQLitePCL;

namespace TeleHearing.Hub.Storage.Log;

/// <summary>A prepared statement of SQLite. Values are stored as its driver for .NET stores them.</summary>
internal sealed class FileStatement : LogStatement
{
    /// <summary>Longest text that is put into UTF-8 on the stack, in bytes.</summary>
    private const int MostOnStack = 1024;

    private readonly sqlite3 _file;
    private readonly sqlite3_stmt _statement;
    private readonly int[] _places;

    public FileStatement(sqlite3 file, string sql, ReadOnlySpan<string> parameters)
    {
        _file = file;
        Check(raw.sqlite3_prepare_v3(file, sql, raw.SQLITE_PREPARE_PERSISTENT, out _statement));
        _places = new int[parameters.Length];
        for (var index = 0; index < parameters.Length; index++)
        {
            _places[index] = raw.sqlite3_bind_parameter_index(_statement, "@" + parameters[index]);
            if (_places[index] == 0)
            {
                _statement.Dispose();
                throw new ArgumentException($"The statement has no parameter {parameters[index]}: {sql}", nameof(parameters));
            }
        }
    }

    public override Task<int> Run(params ReadOnlySpan<object?> values) => Task.FromResult(Do(values));

    public override Task<object[]?> First(params ReadOnlySpan<object?> values) => Task.FromResult(Ask(values));

    /// <inheritdoc cref="LogStatement.Run"/>
    public int Do(params ReadOnlySpan<object?> values)
    {
        Bind(values);
        Step();
        Check(raw.sqlite3_reset(_statement));
        return raw.sqlite3_changes(_file);
    }

    /// <inheritdoc cref="LogStatement.First"/>
    public object[]? Ask(params ReadOnlySpan<object?> values)
    {
        Bind(values);
        var row = Step() ? new object[raw.sqlite3_column_count(_statement)] : null;
        for (var column = 0; column < row?.Length; column++)
        {
            row[column] = raw.sqlite3_column_type(_statement, column) switch
            {
                raw.SQLITE_INTEGER => raw.sqlite3_column_int64(_statement, column),
                raw.SQLITE_BLOB => raw.sqlite3_column_blob(_statement, column).ToArray(),
                raw.SQLITE_NULL => DBNull.Value,
                _ => raw.sqlite3_column_text(_statement, column).utf8_to_string(),
            };
        }

        Check(raw.sqlite3_reset(_statement));
        return row;
    }

    public override ValueTask DisposeAsync()
    {
        _statement.Dispose();
        return ValueTask.CompletedTask;
    }

    /// <returns>Whether it gave a row.</returns>
    private bool Step()
    {
        var code = raw.sqlite3_step(_statement);
        if (code is raw.SQLITE_ROW or raw.SQLITE_DONE)
        {
            return code == raw.SQLITE_ROW;
        }

        try
        {
            Check(code);
            return false;
        }
        finally
        {
            raw.sqlite3_reset(_statement);
        }
    }

    private void Bind(ReadOnlySpan<object?> values)
    {
        if (values.Length != _places.Length)
        {
            throw new ArgumentException($"The statement takes {_places.Length} values, not {values.Length}: what is left out would be what the row before had.", nameof(values));
        }

        for (var index = 0; index < values.Length; index++)
        {
            Check(Bind(_places[index], values[index]));
        }
    }

    private int Bind(int place, object? value) => value switch
    {
        null => raw.sqlite3_bind_null(_statement, place),
        string text => Bind(place, text),
        long number => raw.sqlite3_bind_int64(_statement, place, number),
        int number => raw.sqlite3_bind_int64(_statement, place, number),
        bool flag => raw.sqlite3_bind_int64(_statement, place, flag ? 1 : 0),
        byte[] bytes => raw.sqlite3_bind_blob(_statement, place, bytes),
        Guid id => Bind(place, id),
        _ => throw new ArgumentException($"A value of {value.GetType()} has no place in the log.", nameof(value)),
    };

    /// <summary>As the driver stores ids: capital letters.</summary>
    private int Bind(int place, Guid id)
    {
        Span<char> text = stackalloc char[36];
        id.TryFormat(text, out _);
        Span<byte> bytes = stackalloc byte[36];
        for (var index = 0; index < text.Length; index++)
        {
            bytes[index] = (byte)char.ToUpperInvariant(text[index]);
        }

        return raw.sqlite3_bind_text(_statement, place, bytes);
    }

    private int Bind(int place, string text)
    {
        var most = Encoding.UTF8.GetMaxByteCount(text.Length);
        var rented = most > MostOnStack ? ArrayPool<byte>.Shared.Rent(most) : null;
        var bytes = rented is null ? stackalloc byte[MostOnStack] : rented;
        var code = raw.sqlite3_bind_text(_statement, place, bytes[..Encoding.UTF8.GetBytes(text, bytes)]);
        if (rented is not null)
        {
            ArrayPool<byte>.Shared.Return(rented);
        }

        return code;
    }

    private void Check(int code) => SqliteException.ThrowExceptionForRC(code, _file);
}
