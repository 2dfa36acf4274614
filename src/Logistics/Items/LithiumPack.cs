namespace TeleHearing.Logistics.Items;

/// <summary>Lithium-ion batteries of an item.</summary>
/// <param name="WattHours">Energy of one battery, Wh, as printed on it.</param>
/// <param name="Cells">Cells in one battery; 1 for a single cell.</param>
/// <param name="PerItem">Batteries in one item.</param>
/// <param name="InEquipment">Contained in equipment; otherwise packed beside it, such as a spare.</param>
public sealed record LithiumPack(double WattHours, int Cells, int PerItem, bool InEquipment)
{
    /// <summary>Highest energy taken for a right one, Wh (design): milliampere-hours typed by mistake are mostly above it.</summary>
    public const double HighestWattHours = 2000;

    /// <summary>Mass of one battery, kg; absent when nobody weighed it.</summary>
    public double? MassKg { get; init; }

    /// <summary>Energy of one cell, Wh.</summary>
    public double WattHoursPerCell => WattHours / Cells;

    /// <summary>All that keeps it from being used, at once.</summary>
    public IReadOnlyList<LogisticsFault> Faults()
    {
        var faults = new List<LogisticsFault>();
        if (!(WattHours is > 0 and <= HighestWattHours))
        {
            faults.Add(new(nameof(WattHours), $"Give the watt-hours printed on one battery, above 0 and up to {HighestWattHours:0}: volts times ampere-hours when none are printed."));
        }

        if (Cells is < 1 or > 1000)
        {
            faults.Add(new(nameof(Cells), "Give the cells in one battery, 1 to 1000."));
        }

        if (PerItem is < 1 or > 100)
        {
            faults.Add(new(nameof(PerItem), "Give the batteries in one item, 1 to 100."));
        }

        if (MassKg is { } mass && !(mass is > 0 and <= ItemLine.HeaviestKg))
        {
            faults.Add(new(nameof(MassKg), $"Give the mass of one battery in kilograms, above 0 and up to {ItemLine.HeaviestKg:0}."));
        }

        return faults;
    }
}
