using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions.Views;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions;

/// <summary>Reads the picture of a session.</summary>
internal sealed class SessionReader
{
    private readonly SessionStore _store;
    private readonly SessionRunner _runner;
    private readonly KitSessions _kitSessions;

    public SessionReader(SessionStore store, SessionRunner runner, KitSessions kitSessions)
    {
        _store = store;
        _runner = runner;
        _kitSessions = kitSessions;
    }

    /// <returns>Null when there is no such session.</returns>
    public async Task<SessionView?> Read(SessionId sessionId, CancellationToken cancellationToken) =>
        await _store.Load(sessionId, cancellationToken) is { } loaded
            ? SessionViewBuilder.Build(loaded, await _runner.Facts(loaded, cancellationToken))
            : null;

    /// <summary>Sessions whose picture depends on whether this kit is connected.</summary>
    public Task<IReadOnlyList<SessionId>> Waiting(KitId kitId, CancellationToken cancellationToken) => _kitSessions.Waiting(kitId, cancellationToken);
}
