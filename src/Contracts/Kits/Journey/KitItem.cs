using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>A line of what belongs in a case.</summary>
/// <param name="ItemId">Short id within the kit, printed on its label.</param>
/// <param name="Kind">What it is, e.g. "insert earphones, pair".</param>
/// <param name="ExpectedCount">How many belong in the case.</param>
/// <param name="ParCount">How many must be there when it is sent; at most the expected count.</param>
public sealed record KitItem(string ItemId, string Kind, int ExpectedCount, int ParCount)
{
    /// <summary>Serial number; absent for things without one.</summary>
    public string? Serial { get; init; }

    /// <summary>Used once and thrown away.</summary>
    public bool SingleUse { get; init; }

    /// <summary>Lot of single-use things.</summary>
    public string? Lot { get; init; }

    /// <summary>Last day of use.</summary>
    public DateOnly? Expiry { get; init; }

    /// <summary>Touches skin or canal: must be cleaned or discarded in the turnaround.</summary>
    public ItemContact Contact { get; init; }

    /// <summary>May be wiped.</summary>
    public bool WipeSafe { get; init; } = true;

    /// <summary>Contact time of the disinfectant the maker allows, seconds.</summary>
    public int? ContactTimeSeconds { get; init; }

    /// <summary>Needs a calibration certificate.</summary>
    public bool NeedsCertificate { get; init; }

    /// <summary>Things with the same mark belong together (unit, transducer, certificate) and are never exchanged singly.</summary>
    public string? Pairing { get; init; }

    /// <summary>Mass of one, kg.</summary>
    public double? MassKg { get; init; }

    /// <summary>Volume of one, litres.</summary>
    public double? VolumeL { get; init; }

    /// <summary>Batteries in one.</summary>
    public ItemBattery? Battery { get; init; }
}

/// <summary>What of a person an item touches.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ItemContact>))]
public enum ItemContact
{
    None,
    Skin,
    Canal,
}

/// <summary>Lithium batteries of an item.</summary>
/// <param name="WattHours">Energy of one battery, Wh.</param>
/// <param name="Cells">Cells in one battery.</param>
/// <param name="Batteries">Batteries in one item.</param>
/// <param name="InEquipment">Contained in equipment; otherwise packed beside it.</param>
public sealed record ItemBattery(double WattHours, int Cells, int Batteries, bool InEquipment);
