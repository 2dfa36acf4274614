namespace TeleHearing.Logistics.Parcels;

/// <summary>Mass and volume of a parcel, as far as its items were weighed and measured.</summary>
/// <param name="MassKg">Mass of the packaging and all weighed items, kg.</param>
/// <param name="VolumeL">Volume likewise, litres; items packed closely may need less.</param>
/// <param name="WithoutMass">Items nobody weighed.</param>
/// <param name="WithoutVolume">Items nobody measured.</param>
public sealed record ParcelTotals(double MassKg, double VolumeL, IReadOnlyList<string> WithoutMass, IReadOnlyList<string> WithoutVolume)
{
    internal static ParcelTotals Of(Parcel parcel)
    {
        var inside = parcel.Items.Where(item => item.Count > 0).ToList();
        return new ParcelTotals(
            parcel.PackagingMassKg + inside.Sum(item => item.Count * (item.Line.MassKg ?? 0)),
            parcel.PackagingVolumeL + inside.Sum(item => item.Count * (item.Line.VolumeL ?? 0)),
            [.. inside.Where(item => item.Line.MassKg is null).Select(item => item.Line.ItemId)],
            [.. inside.Where(item => item.Line.VolumeL is null).Select(item => item.Line.ItemId)]);
    }
}
