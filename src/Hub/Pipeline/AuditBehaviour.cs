using System.Reflection;
using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Rights;

namespace TeleHearing.Hub.Pipeline;

/// <summary>Second: leaves the trail in the audit. What is only allowed when recorded is recorded before it is done; a refusal is recorded before it is told.</summary>
internal sealed class AuditBehaviour<TRequest, TResponse> : IPipelineBehavior<TRequest, TResponse>
    where TRequest : IHubRequest<TResponse>
{
    // Answers say a refusal in a property of their own.
    private static readonly PropertyInfo? _refusal = typeof(TResponse).GetProperty(nameof(Refusal)) is { } property && property.PropertyType == typeof(Refusal) ? property : null;

    private readonly AuditTrail _trail;
    private readonly EntryGuard _guard;

    public AuditBehaviour(AuditTrail trail, EntryGuard guard)
    {
        _trail = trail;
        _guard = guard;
    }

    public async Task<TResponse> Handle(TRequest request, CancellationToken cancellationToken, RequestHandlerDelegate<TResponse> next)
    {
        var (caller, door, about) = (request.Caller, request.Door, request.About);
        await _guard.Fresh(caller, door);
        if (_guard.Refusal(caller, door) is { } refused)
        {
            // Answered here: a proof that comes a moment later must not let through what no entry was written for.
            await _trail.After(caller, door, about, refused.Code);
            return request.Refused(refused);
        }

        await _trail.Before(caller, door, about);
        var answer = await next();
        await _trail.After(caller, door, about, (_refusal?.GetValue(answer) as Refusal)?.Code);
        return answer;
    }
}
