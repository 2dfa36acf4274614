using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Sessions.Views;

namespace TeleHearing.Hub.Sessions.Control;

/// <summary>An assistant watches the session of which a task is lent to them.</summary>
internal sealed record WatchTask(int Version, SessionId SessionId, Caller Caller, string ConnectionId) : IHubRequest<WatchReply>, IValidated
{
    public int? ProtocolVersion => Version;

    public IReadOnlyList<string> Faults() => [];

    public IReadOnlyList<string> About => [$"session {SessionId}"];

    public WatchReply Refused(Refusal refusal) => new(null, refusal);

    public string Trace() => $"watch a task of session {SessionId}";
}

internal sealed class WatchTaskHandler : IRequestHandler<WatchTask, WatchReply>
{
    private readonly SessionReader _reader;
    private readonly Broadcaster _broadcaster;

    public WatchTaskHandler(SessionReader reader, Broadcaster broadcaster) => (_reader, _broadcaster) = (reader, broadcaster);

    public async Task<WatchReply> Handle(WatchTask request, CancellationToken cancellationToken)
    {
        var person = ((PersonCaller)request.Caller).Id;
        _broadcaster.WatchTask(request.ConnectionId, request.SessionId, person);
        if (await _reader.Read(request.SessionId, cancellationToken) is { } view && TaskPicture.IsTheirs(view, person))
        {
            return new WatchReply(TaskPicture.Of(view, person), null);
        }

        // The same answer whether there is no such session or it is none of theirs.
        _broadcaster.LeaveSession(request.ConnectionId, request.SessionId);
        return new WatchReply(null, new Refusal(RefusalCodes.ControlNotLent, "No task of this session is lent to you.", "Ask the clinician to lend it to you."));
    }
}
