using MediatR;
using TeleHearing.Hub.Rights;

namespace TeleHearing.Hub.Pipeline;

/// <summary>Third: whether the rights table lets this caller ask such a thing at all.</summary>
internal sealed class AuthoriseBehaviour<TRequest, TResponse> : IPipelineBehavior<TRequest, TResponse>
    where TRequest : IHubRequest<TResponse>
{
    public Task<TResponse> Handle(TRequest request, CancellationToken cancellationToken, RequestHandlerDelegate<TResponse> next) =>
        RightsTable.Refusal(request.Caller, request.Door) is { } refusal ? Task.FromResult(request.Refused(refusal)) : next();
}
