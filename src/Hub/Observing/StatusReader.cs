using Microsoft.Extensions.Diagnostics.HealthChecks;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Observing;

/// <summary>A hub as the owner sees it.</summary>
/// <param name="Name">Machine and process.</param>
/// <param name="Version">Version of the program.</param>
/// <param name="Up">How long it has run.</param>
/// <param name="Count">What it holds; absent where it says nothing readable.</param>
/// <param name="IsThis">Whether it is the one that answers.</param>
internal sealed record HubLine(string Name, string Version, TimeSpan Up, HubCount? Count, bool IsThis);

/// <summary>The state of the whole, now.</summary>
/// <param name="At">When.</param>
/// <param name="Hubs">Every hub that runs.</param>
/// <param name="Findings">What was looked at, with whether it is as it should be.</param>
/// <param name="OpenSessions">Sessions under way.</param>
/// <param name="Answers">How long the latest commands and reports at this hub took, ms: half of them, and 99 of 100.</param>
/// <param name="Faults">How often the store failed since the start.</param>
internal sealed record HubStatus(DateTimeOffset At, IReadOnlyList<HubLine> Hubs, IReadOnlyList<(HealthStatus Status, string What)> Findings, int? OpenSessions, (double Half, double Most)? Answers, long Faults);

/// <summary>Reads the state of the whole for the owner's page. A store that does not answer is part of the state.</summary>
internal sealed class StatusReader(HealthCheckService checks, NeighbourWatch neighbours, HubFigures figures, HubTelemetry telemetry, KitSessions sessions, HubClock clock, HubSettings settings, TimeProvider time)
{
    /// <summary>Reads it.</summary>
    public async Task<HubStatus> Read(CancellationToken cancellationToken)
    {
        var report = await checks.CheckHealthAsync(cancellationToken);
        var now = settings.IsShared ? clock.SharedNow : time.GetUtcNow();
        return new HubStatus(
            now,
            [
                new HubLine(NeighbourWatch.OwnName, NeighbourWatch.OwnVersion, TimeSpan.FromMilliseconds(clock.RunningMs), figures.Count(), IsThis: true),
                .. neighbours.Others.Select(row => new HubLine(row.Name, row.Version, now - new DateTimeOffset(row.StartedTicks, TimeSpan.Zero), HubFigures.Read(row.Figures), IsThis: false)),
            ],
            [.. report.Entries.Values.Select(entry => (entry.Status, entry.Description ?? "A check failed."))],
            await Open(cancellationToken),
            telemetry.Answers(),
            telemetry.Faults);
    }

    private async Task<int?> Open(CancellationToken cancellationToken)
    {
        try
        {
            return (await sessions.AllOpen(cancellationToken)).Count;
        }
        catch (Exception fault) when (StoreFaults.Is(fault))
        {
            return null;
        }
    }
}
