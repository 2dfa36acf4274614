using System.Globalization;

namespace TeleHearing.Logistics.Parcels;

/// <summary>Lines about lithium-ion batteries. Numbers as in the packing instructions 966 and 967 for air and special provision 188 for the ground, by the practice reference, section 5.</summary>
internal static class LithiumLines
{
    /// <summary>From this day batteries packed with equipment above <see cref="FreeOfChargeLimitWh"/> fly with at most <see cref="ChargeLimitPercent"/> (IATA; practice reference).</summary>
    private static readonly DateOnly _chargeRuleFrom = new(2026, 1, 1);

    private const double FreeOfChargeLimitWh = 2.7;
    private const double ChargeLimitPercent = 30;
    private const double IndicatedChargePercent = 25;
    private const double NetLimitKg = 5;
    private const int Spares = 2;
    private const int ExemptCells = 4;
    private const int ExemptBatteries = 2;

    private const string PackedWith = "packing instruction 966";
    private const string Contained = "packing instruction 967";
    private const string Ground = "special provision 188; US 49 CFR 173.185(c)";

    public static IEnumerable<ParcelCheckLine> Of(Parcel parcel, LithiumSummary lithium)
    {
        if (lithium.Class == LithiumClass.None)
        {
            return [];
        }

        var source = Rules(parcel.Way, lithium.Class);
        if (lithium.Class == LithiumClass.BatteriesAlone)
        {
            return [new("class", "There are batteries and no equipment in this parcel: that is UN 3480, with stricter rules that are not listed here. Ask the carrier.", ParcelAnswer.Look, source, SourceConfidence.Memory)];
        }

        if (!lithium.IsSmall)
        {
            return [Class(lithium, source), Size(lithium, source)];
        }

        return
        [
            Class(lithium, source),
            Size(lithium, source),
            Mark(parcel, lithium, source),
            .. parcel.Way == ParcelWay.Air ? [.. Beside(parcel, lithium), .. Charges(parcel, lithium)] : Array.Empty<ParcelCheckLine>(),
        ];
    }

    private static ParcelCheckLine Class(LithiumSummary lithium, string source)
    {
        var where = lithium.Class switch
        {
            LithiumClass.ContainedInEquipment => "contained in equipment",
            LithiumClass.PackedWithEquipment => "packed with equipment",
            _ => "both contained in and packed with equipment",
        };
        return new("class", $"UN 3481, lithium-ion batteries {where}: {Count(lithium.ContainedBatteries)} in equipment, {Count(lithium.PackedWithBatteries)} beside it. Look at {source}.", ParcelAnswer.Look, source, SourceConfidence.Published);
    }

    private static ParcelCheckLine Size(LithiumSummary lithium, string source) => new(
        "size",
        Text($"Small limits: at most {LithiumSummary.SmallCellWh:0} Wh a cell and {LithiumSummary.SmallBatteryWh:0} Wh a battery. Largest here: {lithium.HighestWattHoursPerCell:0.##} Wh and {lithium.HighestWattHours:0.##} Wh.{(lithium.IsSmall ? string.Empty : " Above them the full rules for dangerous goods hold, which are not listed here. Ask the carrier.")}"),
        lithium.IsSmall ? ParcelAnswer.Met : ParcelAnswer.NotMet,
        source,
        SourceConfidence.Published);

    private static ParcelCheckLine Mark(Parcel parcel, LithiumSummary lithium, string source)
    {
        const string mark = "Put the battery mark with UN 3481 on the parcel: at least 100 x 100 mm, or 100 x 70 mm on a small parcel.";
        return MayBeExempt(parcel, lithium)
            ? new("mark", $"{mark} With at most {ExemptCells} cells or {ExemptBatteries} batteries, all in equipment, it may not be needed.", ParcelAnswer.Look, source, SourceConfidence.Memory)
            : new("mark", mark, ParcelAnswer.Look, source, SourceConfidence.Published);
    }

    // A battery of one cell counts as a cell. When there are both, neither exemption is taken.
    private static bool MayBeExempt(Parcel parcel, LithiumSummary lithium)
    {
        var packs = parcel.Items.Where(item => item.Count > 0 && item.Line.Battery is not null).ToList();
        var cells = packs.Where(item => item.Line.Battery!.Cells == 1).Sum(item => item.Count * item.Line.Battery!.PerItem);
        var batteries = packs.Where(item => item.Line.Battery!.Cells > 1).Sum(item => item.Count * item.Line.Battery!.PerItem);
        return lithium.Class == LithiumClass.ContainedInEquipment
            && ((batteries == 0 && cells <= ExemptCells) || (cells == 0 && batteries <= ExemptBatteries));
    }

    private static IEnumerable<ParcelCheckLine> Beside(Parcel parcel, LithiumSummary lithium)
    {
        if (lithium.PackedWithBatteries == 0)
        {
            yield break;
        }

        var most = parcel.BatteriesToRunEquipment + Spares;
        yield return new(
            "spares",
            $"Beside the equipment go at most the batteries it needs to run ({parcel.BatteriesToRunEquipment}) and {Spares} spares; there are {lithium.PackedWithBatteries}.",
            lithium.PackedWithBatteries <= most ? ParcelAnswer.Met : ParcelAnswer.NotMet,
            PackedWith,
            SourceConfidence.Published);
        yield return lithium.PackedWithNetKg is { } net
            ? new("net", Text($"Batteries beside the equipment: at most {NetLimitKg:0} kg net; here {net:0.###} kg."), net <= NetLimitKg * (1 + 1e-9) ? ParcelAnswer.Met : ParcelAnswer.NotMet, PackedWith, SourceConfidence.Published)
            : new("net", Text($"Batteries beside the equipment: at most {NetLimitKg:0} kg net. Not all were weighed."), ParcelAnswer.Look, PackedWith, SourceConfidence.Published);
    }

    /// <summary>Whether the charge of its batteries is limited by air, as a rule or as a recommendation.</summary>
    internal static bool HasChargeLimit(ParcelItem item) => item.Count > 0 && (item.Line.Battery is { InEquipment: true } || MustBeLow(item));

    private static bool MustBeLow(ParcelItem item) => item is { Count: > 0, Line.Battery: { InEquipment: false, WattHours: > FreeOfChargeLimitWh } };

    private static IEnumerable<ParcelCheckLine> Charges(Parcel parcel, LithiumSummary lithium)
    {
        var limited = parcel.Items.Where(MustBeLow).ToList();
        if (limited.Count > 0)
        {
            var words = parcel.SentOn >= _chargeRuleFrom ? "must be charged to" : "should be charged to (a must from 2026-01-01)";
            yield return Charge("charge-beside", $"Batteries above {FreeOfChargeLimitWh.ToString(CultureInfo.InvariantCulture)} Wh beside the equipment {words} {ChargeLimitPercent:0} % at most.", limited, ChargeLimitPercent, PackedWith);
        }

        if (lithium.ContainedBatteries > 0)
        {
            var contained = parcel.Items.Where(item => item is { Count: > 0, Line.Battery.InEquipment: true }).ToList();
            yield return Charge(
                "charge-contained",
                $"Batteries in equipment: at most {ChargeLimitPercent:0} % charged, or at most {IndicatedChargePercent:0} % where the equipment shows its charge, is recommended.",
                contained,
                IndicatedChargePercent,
                Contained);
        }
    }

    private static ParcelCheckLine Charge(string key, string sentence, List<ParcelItem> items, double limitPercent, string source)
    {
        var unread = items.Where(item => item.ChargePercent is null).Select(item => item.Line.ItemId).ToList();
        var over = items.Where(item => item.ChargePercent > limitPercent).Select(item => Text($"{item.Line.ItemId} at {item.ChargePercent:0.#} %")).ToList();
        var found = (over.Count, unread.Count) switch
        {
            (> 0, _) => $" Above {limitPercent:0} %: {string.Join(", ", over)}.",
            (0, > 0) => $" Not read: {string.Join(", ", unread)}.",
            _ => string.Empty,
        };
        return new(key, sentence + found, over.Count > 0 ? ParcelAnswer.NotMet : unread.Count > 0 ? ParcelAnswer.Look : ParcelAnswer.Met, source, SourceConfidence.Published);
    }

    private static string Rules(ParcelWay way, LithiumClass lithium) => (way, lithium) switch
    {
        (ParcelWay.Surface, _) => Ground,
        (_, LithiumClass.ContainedInEquipment) => Contained,
        (_, LithiumClass.PackedWithEquipment) => PackedWith,
        (_, LithiumClass.BatteriesAlone) => "packing instruction 965",
        _ => $"{PackedWith} and {Contained}",
    };

    private static string Count(int batteries) => batteries == 1 ? "1 battery" : Text($"{batteries} batteries");

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
