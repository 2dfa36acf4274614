using System.Text.Json.Serialization;

namespace TeleHearing.Logistics.Parcels;

/// <summary>Lithium-ion batteries of a parcel, counted.</summary>
/// <param name="Class">What they come to.</param>
/// <param name="IsSmall">Whether every cell and battery is within the small limits.</param>
/// <param name="ContainedBatteries">Batteries in equipment.</param>
/// <param name="PackedWithBatteries">Batteries beside equipment.</param>
/// <param name="HighestWattHoursPerCell">Largest cell, Wh.</param>
/// <param name="HighestWattHours">Largest battery, Wh.</param>
/// <param name="PackedWithNetKg">Mass of the batteries beside equipment, kg; absent when one of them was not weighed.</param>
public sealed record LithiumSummary(
    LithiumClass Class,
    bool IsSmall,
    int ContainedBatteries,
    int PackedWithBatteries,
    double HighestWattHoursPerCell,
    double HighestWattHours,
    double? PackedWithNetKg)
{
    /// <summary>Largest small cell, Wh (packing instructions 966 and 967; special provision 188).</summary>
    public const double SmallCellWh = 20;

    /// <summary>Largest small battery, Wh (the same).</summary>
    public const double SmallBatteryWh = 100;

    internal static LithiumSummary Of(Parcel parcel)
    {
        var packs = parcel.Items.Where(item => item.Count > 0 && item.Line.Battery is not null).Select(item => (Pack: item.Line.Battery!, item.Count)).ToList();
        if (packs.Count == 0)
        {
            return new LithiumSummary(LithiumClass.None, true, 0, 0, 0, 0, 0);
        }

        var beside = packs.Where(one => !one.Pack.InEquipment).ToList();
        var contained = packs.Where(one => one.Pack.InEquipment).Sum(one => one.Count * one.Pack.PerItem);
        var (cell, battery) = (packs.Max(one => one.Pack.WattHoursPerCell), packs.Max(one => one.Pack.WattHours));
        var hasEquipment = parcel.Items.Any(item => item.Count > 0 && item.Line.Battery is not { InEquipment: false });
        return new LithiumSummary(
            (contained > 0, beside.Count > 0, hasEquipment) switch
            {
                (true, true, _) => LithiumClass.Both,
                (true, false, _) => LithiumClass.ContainedInEquipment,
                (false, true, true) => LithiumClass.PackedWithEquipment,
                _ => LithiumClass.BatteriesAlone,
            },
            cell <= SmallCellWh && battery <= SmallBatteryWh,
            contained,
            beside.Sum(one => one.Count * one.Pack.PerItem),
            cell,
            battery,
            beside.TrueForAll(one => one.Pack.MassKg is not null) ? beside.Sum(one => one.Count * one.Pack.PerItem * one.Pack.MassKg!.Value) : null);
    }
}

/// <summary>What the lithium-ion batteries of a parcel come to. Numbers of the United Nations and of the packing instructions for air.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<LithiumClass>))]
public enum LithiumClass
{
    /// <summary>None are listed.</summary>
    None,

    /// <summary>UN 3481, contained in equipment: packing instruction 967.</summary>
    ContainedInEquipment,

    /// <summary>UN 3481, packed with equipment: packing instruction 966.</summary>
    PackedWithEquipment,

    /// <summary>UN 3481, some in and some beside equipment: both instructions are to be looked at.</summary>
    Both,

    /// <summary>Batteries without equipment are another number (UN 3480) with stricter rules, which this list does not cover.</summary>
    BatteriesAlone,
}
