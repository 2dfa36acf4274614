using System.Text.Json.Serialization;
using TeleHearing.Logistics.Items;

namespace TeleHearing.Logistics.Parcels;

/// <summary>A parcel as it is to be sent.</summary>
/// <param name="Items">What is in it.</param>
/// <param name="Way">How it travels.</param>
/// <param name="SentOn">Day it is sent: rules begin on days.</param>
public sealed record Parcel(IReadOnlyList<ParcelItem> Items, ParcelWay Way, DateOnly SentOn)
{
    /// <summary>Most lines of a parcel (design).</summary>
    public const int MostItems = 1000;

    /// <summary>Mass of box and padding, kg.</summary>
    public double PackagingMassKg { get; init; }

    /// <summary>Volume of box and padding beyond that of the items, litres.</summary>
    public double PackagingVolumeL { get; init; }

    /// <summary>Batteries the equipment in the parcel needs to run, of those packed beside it; what is more is a spare.</summary>
    public int BatteriesToRunEquipment { get; init; }

    /// <summary>The carrier's limits; absent ones are not looked at.</summary>
    public ParcelLimits Limits { get; init; } = new(null, null);

    /// <summary>All that keeps it from being looked at, at once.</summary>
    public IReadOnlyList<LogisticsFault> Faults()
    {
        if (Items is null || Items.Count > MostItems || Items.Any(item => item?.Line is null))
        {
            return [new(nameof(Items), $"Give up to {MostItems} lines, each with its item.")];
        }

        var faults = new List<LogisticsFault>();
        foreach (var item in Items)
        {
            faults.AddRange(item.Line.Faults().Select(fault => fault with { Field = $"{item.Line.ItemId} {fault.Field}" }));
            if (item.Count is < 0 or > ItemLine.MostCount)
            {
                faults.Add(new($"{item.Line.ItemId} Count", $"Give how many are in the parcel, 0 to {ItemLine.MostCount}."));
            }

            if (item.ChargePercent is { } charge && !(charge is >= 0 and <= 100))
            {
                faults.Add(new($"{item.Line.ItemId} ChargePercent", "Give the charge in percent, 0 to 100, or leave it out."));
            }
        }

        Size(nameof(PackagingMassKg), PackagingMassKg, ParcelLimits.HighestMassKg);
        Size(nameof(PackagingVolumeL), PackagingVolumeL, ParcelLimits.HighestVolumeL);
        if (BatteriesToRunEquipment is < 0 or > ItemLine.MostCount)
        {
            faults.Add(new(nameof(BatteriesToRunEquipment), $"Give the batteries the equipment needs to run, 0 to {ItemLine.MostCount}."));
        }

        if (SentOn.Year is < Require.FirstYear or > Require.LastYear)
        {
            faults.Add(new(nameof(SentOn), "The day of sending cannot be right."));
        }

        if (!Enum.IsDefined(Way))
        {
            faults.Add(new(nameof(Way), "Say whether it travels by air or on the ground."));
        }

        faults.AddRange(Limits is null ? [new(nameof(Limits), "Give the limits; each may be left out.")] : Limits.Faults());
        return faults;

        void Size(string field, double value, double highest)
        {
            if (!(value >= 0 && value <= highest))
            {
                faults.Add(new(field, $"Give 0 to {highest:0}."));
            }
        }
    }
}

/// <summary>A line of a parcel.</summary>
/// <param name="Line">What it is.</param>
/// <param name="Count">How many are in.</param>
/// <param name="ChargePercent">Highest charge of its batteries, as read; absent when nobody read it.</param>
public sealed record ParcelItem(ItemLine Line, int Count, double? ChargePercent);

/// <summary>How a parcel travels.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ParcelWay>))]
public enum ParcelWay
{
    /// <summary>By air, on any part of its way. Post that may fly counts as air.</summary>
    Air,

    /// <summary>On road, rail or water all the way.</summary>
    Surface,
}

/// <summary>Limits a carrier sets.</summary>
/// <param name="MassKg">Highest mass of the parcel, kg; absent when there is none or it is not known.</param>
/// <param name="VolumeL">Highest volume, litres; absent likewise.</param>
public sealed record ParcelLimits(double? MassKg, double? VolumeL)
{
    /// <summary>Highest limit taken for a right one, kg and litres (design).</summary>
    public const double HighestMassKg = 1000;

    /// <inheritdoc cref="HighestMassKg"/>
    public const double HighestVolumeL = 10_000;

    /// <summary>All that keeps them from being used, at once.</summary>
    public IReadOnlyList<LogisticsFault> Faults()
    {
        var faults = new List<LogisticsFault>();
        if (MassKg is { } mass && !(mass > 0 && mass <= HighestMassKg))
        {
            faults.Add(new(nameof(MassKg), $"Give the carrier's limit in kilograms, above 0 and up to {HighestMassKg:0}."));
        }

        if (VolumeL is { } volume && !(volume > 0 && volume <= HighestVolumeL))
        {
            faults.Add(new(nameof(VolumeL), $"Give the carrier's limit in litres, above 0 and up to {HighestVolumeL:0}."));
        }

        return faults;
    }
}
