using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Pipeline;

/// <summary>Sixth: a command carried out before gives its first receipt. The receipt is written with the events, so a command that failed can be asked again under its id.</summary>
internal sealed class OnceBehaviour<TRequest, TResponse> : IPipelineBehavior<TRequest, TResponse>
    where TRequest : IHubRequest<TResponse>, IOnce<TResponse>
{
    private readonly SessionStore _store;

    public OnceBehaviour(SessionStore store) => _store = store;

    public async Task<TResponse> Handle(TRequest request, CancellationToken cancellationToken, RequestHandlerDelegate<TResponse> next)
    {
        if (await _store.FindReceipt(request.CommandId, cancellationToken) is not { } found)
        {
            var answer = await next();

            // A repeat that came while the first one was being carried out is decided on what that one had changed, and would be refused because of it.
            if (answer is not Receipt { Refusal: not null } || await _store.FindReceipt(request.CommandId, cancellationToken) is not { } first)
            {
                return answer;
            }

            found = first;
        }

        return found.Fingerprint.AsSpan().SequenceEqual(request.Fingerprint())
            ? request.Answered(found.Receipt)
            : request.Refused(new Refusal(RefusalCodes.Duplicate, "The id of this command was used for another one.", "Ask again with a new id."));
    }
}
