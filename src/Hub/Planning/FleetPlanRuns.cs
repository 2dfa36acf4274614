using System.Runtime.CompilerServices;
using System.Threading.Channels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Planning.Solving;
using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Planning;

/// <summary>The search that is running: one at a time, since it takes two cores that sessions need too. It runs on a thread of its own; its progress is read by the connection that asked.</summary>
internal sealed partial class FleetPlanRuns : IDisposable
{
    /// <summary>Seconds for each kind of kit that might be bought (design).</summary>
    private const double SecondsForOneMoreKit = 5;

    private readonly Lock _lock = new();
    private readonly FleetSearch _search;
    private readonly ILogger<FleetPlanRuns> _log;
    private Running? _running;

    public FleetPlanRuns(TimeProvider time, ILogger<FleetPlanRuns> log) => (_search, _log) = (new FleetSearch(time), log);

    /// <summary>Begins a search, unless one is running.</summary>
    public FleetPlanStart Begin(FleetPlanAsk ask, PersonCaller by, PlanProblem problem)
    {
        var running = new Running(ask.PlanId, by.Name);
        lock (_lock)
        {
            if (_running is { } other)
            {
                running.Dispose();
                return new FleetPlanStart(null, new Refusal(RefusalCodes.StepRunning, $"A plan is being made for {other.By}.", "Wait until it is done, or let them stop it."));
            }

            _running = running;
        }

        var channel = Channel.CreateUnbounded<FleetPlanProgress>(new UnboundedChannelOptions { SingleReader = true, SingleWriter = false });
        var token = running.Stop.Token;
        _ = Task.Factory.StartNew(() => Search(ask, problem, channel.Writer, running, token), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        return new FleetPlanStart(Read(channel.Reader, running, CancellationToken.None), null);
    }

    /// <summary>Ends a search with the best plan so far.</summary>
    /// <returns>Why not; absent when it ends.</returns>
    public Refusal? Stop(Guid planId)
    {
        lock (_lock)
        {
            if (_running is { } running && running.PlanId == planId)
            {
                running.Stop.Cancel();
                return null;
            }
        }

        return new Refusal(RefusalCodes.Invalid, "No such plan is being made: it is done already.", "Look at its result.");
    }

    public void Dispose()
    {
        lock (_lock)
        {
            _running?.Stop.Cancel();
        }
    }

    /// <summary>Whoever stops reading stops the search.</summary>
    private async IAsyncEnumerable<FleetPlanProgress> Read(ChannelReader<FleetPlanProgress> reader, Running running, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        try
        {
            await foreach (var progress in reader.ReadAllAsync(cancellationToken))
            {
                yield return progress;
            }
        }
        finally
        {
            Stop(running.PlanId);
        }
    }

    private void Search(FleetPlanAsk ask, PlanProblem problem, ChannelWriter<FleetPlanProgress> writer, Running running, CancellationToken stop)
    {
        Exception? fault = null;
        try
        {
            var settings = new FleetSearchSettings(ask.Seconds, Seed: 1) { SecondsForOneMoreKit = ask.OneMoreKit ? SecondsForOneMoreKit : 0 };
            var outcome = _search.Run(problem, settings, progress => writer.TryWrite(FleetPlanViews.Progress(ask.PlanId, problem, progress)), stop);
            writer.TryWrite(FleetPlanViews.Last(ask.PlanId, problem, outcome));
            Log.Planned(_log, outcome.Plan.Loans.Count, problem.Requests.Count, outcome.Seconds);
        }
#pragma warning disable CA1031 // whatever goes wrong must reach the reader, who else would wait for ever
        catch (Exception error)
#pragma warning restore CA1031 // as before
        {
            Log.Failed(_log, error);
            fault = error;
        }
        finally
        {
            lock (_lock)
            {
                _running = null;
                running.Dispose();
            }

            writer.Complete(fault);
        }
    }

    private sealed record Running(Guid PlanId, string By) : IDisposable
    {
        public CancellationTokenSource Stop { get; } = new();

        public void Dispose() => Stop.Dispose();
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 1401, Level = LogLevel.Information, Message = "Planned {Placed} of {Requests} requests in {Seconds} s")]
        public static partial void Planned(ILogger logger, int placed, int requests, double seconds);

        [LoggerMessage(EventId = 1402, Level = LogLevel.Error, Message = "Planning the fleet failed")]
        public static partial void Failed(ILogger logger, Exception fault);
    }
}
