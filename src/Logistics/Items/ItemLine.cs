namespace TeleHearing.Logistics.Items;

/// <summary>A line of what belongs in a case.</summary>
/// <param name="ItemId">Short name of the item within the kit, as on its label.</param>
/// <param name="Kind">What it is.</param>
/// <param name="ExpectedCount">How many belong in the case.</param>
/// <param name="ParCount">How many must be there when it is sent; at most the expected count.</param>
public sealed record ItemLine(string ItemId, string Kind, int ExpectedCount, int ParCount)
{
    /// <summary>Most of one item (design).</summary>
    public const int MostCount = 10_000;

    /// <summary>Heaviest item, kg, and largest, litres (design): grams and millilitres typed by mistake are above it.</summary>
    public const double HeaviestKg = 50;

    /// <inheritdoc cref="HeaviestKg"/>
    public const double LargestL = 500;

    /// <summary>Longest text of a field, characters (design).</summary>
    public const int LongestText = 100;

    /// <summary>Serial number; absent for things without one.</summary>
    public string? Serial { get; init; }

    /// <summary>Used once and thrown away.</summary>
    public bool SingleUse { get; init; }

    /// <summary>Lot of single-use things.</summary>
    public string? Lot { get; init; }

    /// <summary>Last day of use.</summary>
    public DateOnly? Expiry { get; init; }

    /// <summary>Mass of one, kg; absent when nobody weighed it.</summary>
    public double? MassKg { get; init; }

    /// <summary>Volume of one, litres; absent when nobody measured it.</summary>
    public double? VolumeL { get; init; }

    /// <summary>Lithium batteries of one; absent for things without.</summary>
    public LithiumPack? Battery { get; init; }

    /// <summary>May be wiped.</summary>
    public bool WipeSafe { get; init; } = true;

    /// <summary>Needs a calibration certificate.</summary>
    public bool NeedsCertificate { get; init; }

    /// <summary>Things with the same mark belong together and are never exchanged singly.</summary>
    public string? PairingGroup { get; init; }

    /// <summary>All that keeps the line from being used, at once.</summary>
    public IReadOnlyList<LogisticsFault> Faults()
    {
        var faults = new List<LogisticsFault>();
        Text(nameof(ItemId), ItemId, needed: true);
        Text(nameof(Kind), Kind, needed: true);
        Text(nameof(Serial), Serial, needed: false);
        Text(nameof(Lot), Lot, needed: false);
        Text(nameof(PairingGroup), PairingGroup, needed: false);
        if (ExpectedCount is < 1 or > MostCount)
        {
            faults.Add(new(nameof(ExpectedCount), $"Give how many belong in the case, 1 to {MostCount}."));
        }

        if (ParCount < 0 || ParCount > ExpectedCount)
        {
            faults.Add(new(nameof(ParCount), "Give how many must be there when it is sent, 0 to the number that belongs in the case."));
        }

        if (Serial is not null && ExpectedCount > 1)
        {
            faults.Add(new(nameof(Serial), "A serial number is of one thing. Give each its own line."));
        }

        if (Expiry is { Year: < Require.FirstYear or > Require.LastYear })
        {
            faults.Add(new(nameof(Expiry), "The last day of use cannot be right."));
        }

        // Written so that not-a-number is a fault.
        if (MassKg is { } mass && !(mass is > 0 and <= HeaviestKg))
        {
            faults.Add(new(nameof(MassKg), $"Give the mass of one in kilograms, above 0 and up to {HeaviestKg:0}."));
        }

        if (VolumeL is { } volume && !(volume is > 0 and <= LargestL))
        {
            faults.Add(new(nameof(VolumeL), $"Give the volume of one in litres, above 0 and up to {LargestL:0}."));
        }

        if (Battery is not null)
        {
            faults.AddRange(Battery.Faults());
        }

        return faults;

        void Text(string field, string? text, bool needed)
        {
            if (text is null ? needed : string.IsNullOrWhiteSpace(text) || text.Length > LongestText)
            {
                faults.Add(new(field, $"Give 1 to {LongestText} characters{(needed ? string.Empty : ", or leave it out")}."));
            }
        }
    }
}
