using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;

namespace TeleHearing.Hub.Protocols;

/// <summary>The clinic's protocols.</summary>
internal sealed record ReadProtocols(Caller Caller) : IHubRequest<ProtocolsReply>
{
    public ProtocolsReply Refused(Refusal refusal) => new([], refusal);

    public string Trace() => "read protocols";
}

internal sealed class ReadProtocolsHandler : IRequestHandler<ReadProtocols, ProtocolsReply>
{
    private readonly ProtocolShelf _shelf;

    public ReadProtocolsHandler(ProtocolShelf shelf) => _shelf = shelf;

    public async Task<ProtocolsReply> Handle(ReadProtocols request, CancellationToken cancellationToken) => new(await _shelf.Newest(cancellationToken), null);
}

/// <summary>Look at a protocol, and keep it when <paramref name="Keep"/> says so.</summary>
internal sealed record HandInProtocol(string Text, bool Keep, Caller Caller) : IHubRequest<ProtocolReply>, IValidated
{
    public int? ProtocolVersion => null;

    // Looking changes nothing; what is kept is how people are tested from then on.
    public string Door => Keep ? Rights.Door.Request<HandInProtocol>() : Rights.Door.Request<ReadProtocols>();

    public IReadOnlyList<string> Faults() => string.IsNullOrWhiteSpace(Text) ? ["The protocol is empty."] : [];

    public ProtocolReply Refused(Refusal refusal) => new(null, [], refusal);

    public string Trace() => Keep ? "keep a protocol" : "look at a protocol";
}

internal sealed class HandInProtocolHandler : IRequestHandler<HandInProtocol, ProtocolReply>
{
    private readonly ProtocolShelf _shelf;

    public HandInProtocolHandler(ProtocolShelf shelf) => _shelf = shelf;

    public Task<ProtocolReply> Handle(HandInProtocol request, CancellationToken cancellationToken) =>
        _shelf.HandIn(request.Text, request.Keep, ((PersonCaller)request.Caller).Name, cancellationToken);
}
