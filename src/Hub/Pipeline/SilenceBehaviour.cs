using MediatR;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Pipeline;

/// <summary>Fifth: whatever fails below, a command that silences has silenced. Stands before everything that reads the store.</summary>
internal sealed class SilenceBehaviour<TRequest, TResponse> : IPipelineBehavior<TRequest, TResponse>
    where TRequest : IHubRequest<TResponse>, IAboutSession
{
    private readonly SilenceFirst _silence;

    public SilenceBehaviour(SilenceFirst silence) => _silence = silence;

    public async Task<TResponse> Handle(TRequest request, CancellationToken cancellationToken, RequestHandlerDelegate<TResponse> next)
    {
        var caller = (PersonCaller)request.Caller;
        try
        {
            return await next();
        }
        catch (Exception fault) when (fault is not (UnrecordedSilence or OperationCanceledException or OutOfMemoryException) && _silence.May(request.Envelope, caller))
        {
            var unrecorded = _silence.Unrecorded(request.Envelope, caller, fault, toldBefore: false);
            if (StoreFaults.Is(fault))
            {
                throw unrecorded;
            }

            // Another fault stays what it is; the kit is silent all the same.
            throw;
        }
    }
}
