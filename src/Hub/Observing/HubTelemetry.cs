using System.Diagnostics;
using System.Diagnostics.Metrics;
using TeleHearing.Hub.Neighbours;

namespace TeleHearing.Hub.Observing;

/// <summary>What can be measured of a running hub, by the names of OpenTelemetry. Names of requests and counts, never a person, a kit's name or a result. Any thread.</summary>
internal sealed class HubTelemetry : IDisposable
{
    /// <summary>Name of the meter and of the source of traces.</summary>
    public const string Name = "TeleHearing.Hub";

    /// <summary>Durations kept for the owner's page.</summary>
    private const int Kept = 512;

    private readonly Meter _meter;
    private readonly Histogram<double> _requests;
    private readonly Histogram<double> _leases;
    private readonly Queue<double> _latest = new(Kept);
    private readonly Lock _lock = new();
    private long _faults;

    public HubTelemetry(IMeterFactory meters, IServiceProvider services)
    {
        _meter = meters.Create(Name);
        _requests = _meter.CreateHistogram<double>("telehearing.request.duration", "s", "How long what was asked took until it was answered.");
        _leases = _meter.CreateHistogram<double>("telehearing.lease.interval", "s", "Between two renewals of leases: 0.2 s where the machine keeps up.");

        // Counted when somebody asks; looked up then, since what is counted is measured too.
        _meter.CreateObservableGauge("telehearing.kits.linked", () => services.GetRequiredService<HubFigures>().Count().Kits, "{kit}", "Kits linked to this hub.");
        _meter.CreateObservableGauge("telehearing.kits.sounding", () => services.GetRequiredService<HubFigures>().Count().Sounding, "{kit}", "Of them, those on which sound may be on.");
        _meter.CreateObservableGauge("telehearing.consoles", () => services.GetRequiredService<HubFigures>().Count().Consoles, "{console}", "Consoles connected to this hub.");
    }

    /// <summary>Spans of what was asked.</summary>
    public static ActivitySource Traces { get; } = new(Name);

    /// <summary>Something was answered.</summary>
    /// <param name="request">Name of its type.</param>
    /// <param name="writes">Whether it is answered only once it is durable.</param>
    /// <param name="took">How long it took.</param>
    /// <param name="fault">Whether the store failed.</param>
    public void Asked(string request, bool writes, TimeSpan took, bool fault)
    {
        _requests.Record(took.TotalSeconds, new KeyValuePair<string, object?>("request", request), new KeyValuePair<string, object?>("outcome", fault ? "fault" : "answered"));
        if (fault)
        {
            Interlocked.Increment(ref _faults);
        }

        if (writes)
        {
            lock (_lock)
            {
                if (_latest.Count == Kept)
                {
                    _latest.Dequeue();
                }

                _latest.Enqueue(took.TotalMilliseconds);
            }
        }
    }

    /// <summary>Leases were renewed.</summary>
    public void Renewed(TimeSpan sinceLast) => _leases.Record(sinceLast.TotalSeconds);

    /// <summary>Half of the latest commands and reports were answered faster than the first, 99 of 100 than the second, in ms; nothing before the first of them.</summary>
    public (double Half, double Most)? Answers()
    {
        double[] sorted;
        lock (_lock)
        {
            sorted = [.. _latest];
        }

        Array.Sort(sorted);
        return sorted.Length == 0 ? null : (sorted[sorted.Length / 2], sorted[Math.Min(sorted.Length - 1, sorted.Length * 99 / 100)]);
    }

    /// <summary>How often the store failed since the start.</summary>
    public long Faults => Interlocked.Read(ref _faults);

    public void Dispose() => _meter.Dispose();
}
