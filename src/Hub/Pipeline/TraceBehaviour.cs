using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Observing;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Pipeline;

/// <summary>Outermost: says what was asked and how long it took, and turns a failing disk into a refusal.</summary>
internal sealed class TraceBehaviour<TRequest, TResponse> : IPipelineBehavior<TRequest, TResponse>
    where TRequest : IHubRequest<TResponse>
{
    private readonly ILogger<TraceBehaviour<TRequest, TResponse>> _log;
    // What becomes durable before it is answered.
    private static readonly bool _writes = typeof(TRequest) == typeof(AskCommand) || typeof(TRequest) == typeof(RecordKitReports);

    private readonly TimeProvider _time;
    private readonly HubTelemetry? _telemetry;

    public TraceBehaviour(ILogger<TraceBehaviour<TRequest, TResponse>> log, TimeProvider time, HubTelemetry? telemetry = null)
    {
        _telemetry = telemetry;
        _log = log;
        _time = time;
    }

    public async Task<TResponse> Handle(TRequest request, CancellationToken cancellationToken, RequestHandlerDelegate<TResponse> next)
    {
        var start = _time.GetTimestamp();
        var failed = false;
        using var span = HubTelemetry.Traces.StartActivity(typeof(TRequest).Name);
        try
        {
            return await next();
        }
        catch (Exception fault) when (StoreFaults.Is(fault))
        {
            failed = true;
            span?.SetStatus(System.Diagnostics.ActivityStatusCode.Error);
            TraceLog.StorageFailed(_log, fault, request.Trace());
            return request.Refused((fault as UnrecordedSilence)?.Refusal ?? new Refusal(
                RefusalCodes.StorageFault,
                "The hub could not use its disk. Nothing of this was carried out or kept.",
                "Ask the owner to look at the hub's disk, then ask again."));
        }
        finally
        {
            var took = _time.GetElapsedTime(start);
            _telemetry?.Asked(typeof(TRequest).Name, _writes, took, failed);
            if (_log.IsEnabled(LogLevel.Debug))
            {
                TraceLog.Asked(_log, request.Trace(), took.TotalMilliseconds);
            }
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
