using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions.Start;

/// <summary>Read what a start card needs.</summary>
internal sealed record ReadStartCard(SessionId SessionId, Caller Caller) : IHubRequest<StartCardReply>
{
    public int? ProtocolVersion => null;

    public IReadOnlyList<string> About => [$"session {SessionId}"];

    public StartCardReply Refused(Refusal refusal) => new(null, refusal);

    public string Trace() => $"read what the start card of session {SessionId} needs";
}

internal sealed class ReadStartCardHandler : IRequestHandler<ReadStartCard, StartCardReply>
{
    private readonly SessionStore _store;
    private readonly CardReader _cards;

    public ReadStartCardHandler(SessionStore store, CardReader cards) => (_store, _cards) = (store, cards);

    public async Task<StartCardReply> Handle(ReadStartCard request, CancellationToken cancellationToken) =>
        await _store.Load(request.SessionId, cancellationToken) is { } loaded
            ? new StartCardReply(await _cards.Help(loaded.Plan.Person, ((PersonCaller)request.Caller).Id, cancellationToken), null)
            : new StartCardReply(null, Refusals.UnknownSession);
}
