namespace TeleHearing.Charts;

/// <summary>One fleet size.</summary>
/// <param name="Kits">Kits at work.</param>
/// <param name="Refused">Share of loans that find no kit, 0 to 1.</param>
/// <param name="KeepsTarget">Whether the wished share is kept.</param>
public sealed record FleetSizePoint(int Kits, double Refused, bool KeepsTarget);

/// <summary>How many loans find no kit, by the number of kits.</summary>
/// <param name="Points">Fleet sizes in rising order, without a gap.</param>
/// <param name="Target">Share that may find no kit, 0 to 1.</param>
/// <param name="TodayKits">Kits at work today; absent when not told.</param>
public sealed record FleetSizes(IReadOnlyList<FleetSizePoint> Points, double Target, int? TodayKits)
{
    /// <summary>Short title.</summary>
    public string Title { get; init; } = "Loans that find no kit, by the number of kits at work";

    /// <summary>Start of the element ids, so that two charts can stand on one page.</summary>
    public string IdPrefix { get; init; } = "fleet-sizes";

    /// <summary>Smallest size that keeps the wished share; absent when none of those drawn does.</summary>
    public FleetSizePoint? Smallest => Points.FirstOrDefault(point => point.KeepsTarget);

    /// <summary>The size of today; absent when it is not told or not drawn.</summary>
    public FleetSizePoint? Today => Points.FirstOrDefault(point => point.Kits == TodayKits);
}
