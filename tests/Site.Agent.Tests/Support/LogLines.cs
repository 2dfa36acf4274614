using System.Collections.Concurrent;
using Microsoft.Extensions.Logging;

namespace TeleHearing.Site.Agent.Tests.Support;

/// <summary>Keeps the numbers of what is logged, in order.</summary>
internal sealed class LogLines : ILoggerProvider, ILogger
{
    private readonly ConcurrentQueue<int> _events = new();

    /// <summary>Numbers of the events so far.</summary>
    public IReadOnlyList<int> Events => [.. _events];

    public ILogger CreateLogger(string categoryName) => this;

    public IDisposable? BeginScope<TState>(TState state)
        where TState : notnull => null;

    public bool IsEnabled(LogLevel logLevel) => true;

    public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) => _events.Enqueue(eventId.Id);

    public void Dispose()
    {
        // nothing is held
    }
}
