using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Pipeline;

/// <summary>Outermost: says what was asked and how long it took, and turns a failing disk into a refusal.</summary>
internal sealed class TraceBehaviour<TRequest, TResponse> : IPipelineBehavior<TRequest, TResponse>
    where TRequest : IHubRequest<TResponse>
{
    private readonly ILogger<TraceBehaviour<TRequest, TResponse>> _log;
    private readonly TimeProvider _time;

    public TraceBehaviour(ILogger<TraceBehaviour<TRequest, TResponse>> log, TimeProvider time)
    {
        _log = log;
        _time = time;
    }

    public async Task<TResponse> Handle(TRequest request, CancellationToken cancellationToken, RequestHandlerDelegate<TResponse> next)
    {
        var start = _time.GetTimestamp();
        try
        {
            return await next();
        }
        catch (Exception fault) when (StoreFaults.Is(fault))
        {
            TraceLog.StorageFailed(_log, fault, request.Trace());
            return request.Refused(new Refusal(
                RefusalCodes.StorageFault,
                "The hub could not write to its disk. Nothing of this was carried out or kept.",
                "Ask the owner to look at the hub's disk, then ask again."));
        }
        finally
        {
            TraceLog.Asked(_log, request.Trace(), _time.GetElapsedTime(start).TotalMilliseconds);
        }
    }
}

/// <summary>Log lines of the pipeline.</summary>
internal static partial class TraceLog
{
    [LoggerMessage(EventId = 1001, Level = LogLevel.Debug, Message = "{Request} took {Milliseconds} ms")]
    public static partial void Asked(ILogger logger, string request, double milliseconds);

    [LoggerMessage(EventId = 1002, Level = LogLevel.Error, Message = "{Request} failed at the disk and was refused")]
    public static partial void StorageFailed(ILogger logger, Exception fault, string request);
}
