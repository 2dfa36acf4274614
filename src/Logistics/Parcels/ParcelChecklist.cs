using System.Globalization;

namespace TeleHearing.Logistics.Parcels;

/// <summary>What to look at before a kit is sent: batteries, mass, volume. It works out the class from the list of items and prints what the rules ask for.</summary>
/// <remarks>It never says that a parcel may be sent. Rules of carriers, posts and countries differ and change every year; the last line always asks to confirm with the carrier.</remarks>
/// <param name="Lithium">The batteries, counted.</param>
/// <param name="Totals">Mass and volume.</param>
/// <param name="Lines">What to look at.</param>
/// <param name="ChargeOnArrival">Whether it leaves with batteries that are mostly empty, so that charging them is the first thing to do at the site.</param>
public sealed record ParcelChecklist(LithiumSummary Lithium, ParcelTotals Totals, IReadOnlyList<ParcelCheckLine> Lines, bool ChargeOnArrival)
{
    /// <summary>Makes the list.</summary>
    /// <exception cref="ArgumentException">The parcel has faults; the message holds them all.</exception>
    public static ParcelChecklist Of(Parcel parcel)
    {
        ArgumentNullException.ThrowIfNull(parcel);
        var faults = parcel.Faults();
        if (faults.Count > 0)
        {
            throw new ArgumentException(string.Join(" ", faults), nameof(parcel));
        }

        var lithium = LithiumSummary.Of(parcel);
        var totals = ParcelTotals.Of(parcel);
        ParcelCheckLine[] lines = [.. LithiumLines.Of(parcel, lithium), .. SizeLines(parcel.Limits, totals), .. Confirm()];
        return new ParcelChecklist(lithium, totals, lines, LeavesMostlyEmpty(parcel));
    }

    /// <summary>Whether something in the parcel flies with a limit on its charge: any battery in equipment, and one beside it above the energy from which the limit holds. Looks at counts and energies only, so that a fault elsewhere in the list hides nothing.</summary>
    public static bool LeavesMostlyEmpty(Parcel parcel)
    {
        ArgumentNullException.ThrowIfNull(parcel);
        return parcel.Way == ParcelWay.Air
            && LithiumSummary.Of(parcel).Class is not (LithiumClass.None or LithiumClass.BatteriesAlone)
            && parcel.Items.Any(LithiumLines.HasChargeLimit);
    }

    private static IEnumerable<ParcelCheckLine> SizeLines(ParcelLimits limits, ParcelTotals totals)
    {
        if (limits.MassKg is { } mass)
        {
            yield return Size("mass", "kg", totals.MassKg, mass, totals.WithoutMass, "not weighed");
        }

        if (limits.VolumeL is { } volume)
        {
            yield return Size("volume", "L", totals.VolumeL, volume, totals.WithoutVolume, "not measured");
        }
    }

    private static ParcelCheckLine Size(string key, string unit, double total, double limit, IReadOnlyList<string> unknown, string words)
    {
        // Sums of decimal numbers end a hair beside their limit.
        var isOver = total > limit * (1 + 1e-9);
        var answer = isOver ? ParcelAnswer.NotMet : unknown.Count > 0 ? ParcelAnswer.Look : ParcelAnswer.Met;
        var missing = unknown.Count > 0 ? $" {words}: {string.Join(", ", unknown)}." : string.Empty;
        return new(key, string.Create(CultureInfo.InvariantCulture, $"The parcel comes to {total:0.###} {unit} of at most {limit:0.###} {unit}.{missing}"), answer, "limit given for the carrier", SourceConfidence.Own);
    }

    private static IEnumerable<ParcelCheckLine> Confirm()
    {
        yield return new("metal", "Button and other lithium metal cells, and anything else that is dangerous goods, are not on this list. Ask the carrier if there are any.", ParcelAnswer.Look, "the project's own caution", SourceConfidence.Own);
        yield return new("confirm", "Confirm all of it with the carrier for this day and this way: rules of carriers, posts and countries differ and change. This list does not say that the parcel may be sent.", ParcelAnswer.Look, "the project's own caution", SourceConfidence.Own);
    }
}
