using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>A kit's history as an EPCIS document.</summary>
internal sealed class EpcisExport
{
    private readonly KitFacts _kits;
    private readonly FleetFacts _fleet;
    private readonly HubSettings _hub;
    private readonly TimeProvider _time;

    public EpcisExport(KitFacts kits, FleetFacts fleet, HubSettings hub, TimeProvider time)
    {
        _kits = kits;
        _fleet = fleet;
        _hub = hub;
        _time = time;
    }

    /// <summary>The document; null when there is no such kit.</summary>
    /// <exception cref="InvalidDataException">The settings of the ids cannot be used.</exception>
    public async Task<string?> Document(KitId kitId, CancellationToken cancellationToken)
    {
        if (await _kits.Load(kitId, cancellationToken) is not { } loaded)
        {
            return null;
        }

        var (settings, zone) = (EpcisSettings.Read(_hub), ClinicDay.ZoneOf((await _fleet.Load(cancellationToken)).State));
        return EpcisWriter.Document(
            EpcisHistory.Of(kitId, loaded.State.History, settings.Ids, zone, settings.Limits),
            TimeZoneInfo.ConvertTime(_time.GetUtcNow(), zone));
    }
}
