using TeleHearing.Logistics.Items;
using TeleHearing.Logistics.Parcels;

namespace TeleHearing.Contracts;

/// <summary>A kit's case as a parcel, for the checklist of what to look at before it is sent.</summary>
public static class KitParcel
{
    /// <summary>An item as the arithmetic of parcels takes it.</summary>
    public static ItemLine ToLine(KitItem item) => new(item.ItemId, item.Kind, item.ExpectedCount, item.ParCount)
    {
        Serial = item.Serial,
        SingleUse = item.SingleUse,
        Lot = item.Lot,
        Expiry = item.Expiry,
        MassKg = item.MassKg,
        VolumeL = item.VolumeL,
        Battery = item.Battery is { } battery ? new LithiumPack(battery.WattHours, battery.Cells, battery.Batteries, battery.InEquipment) : null,
        WipeSafe = item.WipeSafe,
        NeedsCertificate = item.NeedsCertificate,
        PairingGroup = item.Pairing,
    };

    /// <summary>A case as a parcel.</summary>
    /// <param name="items">What belongs in it.</param>
    /// <param name="inCase">How many there are as far as is known; what was not counted counts as expected.</param>
    /// <param name="way">By air or on the ground.</param>
    /// <param name="sentOn">Day of sending.</param>
    /// <param name="chargePercent">Charge of items' batteries, %, by item; absent where nobody read it.</param>
    public static Parcel Of(IReadOnlyList<KitItem> items, IReadOnlyList<ItemCount> inCase, ParcelWay way, DateOnly sentOn, IReadOnlyDictionary<string, double> chargePercent) => new(
        [
            .. items.Select(item => new ParcelItem(
                ToLine(item),
                inCase.FirstOrDefault(count => string.Equals(count.ItemId, item.ItemId, StringComparison.OrdinalIgnoreCase))?.Count ?? item.ExpectedCount,
                chargePercent.TryGetValue(item.ItemId, out var charge) ? charge : null)),
        ],
        way,
        sentOn);
}
