using MediatR;

namespace TeleHearing.Hub.Pipeline;

/// <summary>Second: whether this caller may ask such a thing at all.</summary>
internal sealed class AuthoriseBehaviour<TRequest, TResponse> : IPipelineBehavior<TRequest, TResponse>
    where TRequest : IHubRequest<TResponse>
{
    public Task<TResponse> Handle(TRequest request, CancellationToken cancellationToken, RequestHandlerDelegate<TResponse> next) =>
        request.MayAsk() is { } refusal ? Task.FromResult(request.Refused(refusal)) : next();
}
