using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;

namespace TeleHearing.Hub.Sessions;

/// <summary>Watch the start page.</summary>
/// <param name="Caller">Who.</param>
/// <param name="ConnectionId">Connection to tell; null reads once.</param>
internal sealed record WatchBoardQuery(Caller Caller, string? ConnectionId) : IHubRequest<BoardView>
{
    public BoardView Refused(Refusal refusal) => new(default, [], []) { Refusal = refusal };

    public string Trace() => "watch board";
}

internal sealed class WatchBoardHandler : IRequestHandler<WatchBoardQuery, BoardView>
{
    private readonly Board _board;
    private readonly Broadcaster _broadcaster;

    public WatchBoardHandler(Board board, Broadcaster broadcaster)
    {
        _board = board;
        _broadcaster = broadcaster;
    }

    public Task<BoardView> Handle(WatchBoardQuery request, CancellationToken cancellationToken)
    {
        var sight = BoardSight.Of(request.Caller);
        if (request.ConnectionId is { } connectionId)
        {
            // Before the reading: what changes in between is then told again rather than missed.
            _broadcaster.WatchBoard(connectionId, sight);
        }

        return _board.Read(sight, cancellationToken);
    }
}

/// <summary>Watch a session.</summary>
internal sealed record WatchSessionQuery(int Version, SessionId SessionId, Caller Caller, string ConnectionId) : IHubRequest<WatchReply>, IValidated
{
    public int? ProtocolVersion => Version;

    public IReadOnlyList<string> Faults() => [];

    public IReadOnlyList<string> About => [$"session {SessionId}"];

    public WatchReply Refused(Refusal refusal) => new(null, refusal);

    public string Trace() => $"watch session {SessionId}";
}

internal sealed class WatchSessionHandler : IRequestHandler<WatchSessionQuery, WatchReply>
{
    private readonly SessionReader _reader;
    private readonly Broadcaster _broadcaster;

    public WatchSessionHandler(SessionReader reader, Broadcaster broadcaster)
    {
        _reader = reader;
        _broadcaster = broadcaster;
    }

    public async Task<WatchReply> Handle(WatchSessionQuery request, CancellationToken cancellationToken)
    {
        _broadcaster.WatchSession(request.ConnectionId, request.SessionId);
        if (await _reader.Read(request.SessionId, cancellationToken) is { } view)
        {
            return new WatchReply(view, null);
        }

        _broadcaster.LeaveSession(request.ConnectionId, request.SessionId);
        return new WatchReply(null, Refusals.UnknownSession);
    }
}
