using MediatR;
using TeleHearing.Hub.Rights;

namespace TeleHearing.Hub.Pipeline;

/// <summary>Third: whether this caller may ask such a thing at all, and now.</summary>
internal sealed class AuthoriseBehaviour<TRequest, TResponse> : IPipelineBehavior<TRequest, TResponse>
    where TRequest : IHubRequest<TResponse>
{
    private readonly EntryGuard _guard;

    public AuthoriseBehaviour(EntryGuard guard) => _guard = guard;

    public Task<TResponse> Handle(TRequest request, CancellationToken cancellationToken, RequestHandlerDelegate<TResponse> next) =>
        _guard.Refusal(request.Caller, request.Door) is { } refusal ? Task.FromResult(request.Refused(refusal)) : next();
}
