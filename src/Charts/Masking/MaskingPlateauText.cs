using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;

namespace TeleHearing.Charts;

/// <summary>One point of the table that says the same as the chart.</summary>
/// <param name="Masker">Masker in words.</param>
/// <param name="Tone">Lowest level heard with it, in words.</param>
/// <param name="Change">Change of the tone since the point before, in words; empty for the first.</param>
/// <param name="Part">What it belongs to, in words.</param>
public sealed record PlateauRow(string Masker, string Tone, string Change, string Part);

/// <summary>A masked threshold in words.</summary>
public static class MaskingPlateauText
{
    /// <summary>What is measured: "Left ear, air conduction, 2000 Hz, masker in the right ear".</summary>
    public static string Subject(MaskingPlateau plateau) =>
        FormattableString.Invariant($"{OutcomeText.Name(plateau.Ear)} ear, {PointText.Route(plateau.Route)}, {plateau.FrequencyHz} Hz, masker in the {(plateau.Ear == Ear.Right ? "left" : "right")} ear");

    /// <summary>What it came to, or how far it has come, in a few words.</summary>
    public static string Headline(MaskingPlateau plateau) => plateau.Verdict switch
    {
        MaskingVerdict.Plateau => plateau.Outcome is { } outcome ? $"Plateau found: {OutcomeText.Short(outcome)}" : "Plateau found",
        MaskingVerdict.Dilemma => "Masking dilemma: no threshold",
        MaskingVerdict.NoResponse => plateau.Outcome is { } outcome ? $"Masked: {OutcomeText.Short(outcome)}" : "No response with the masker",
        MaskingVerdict.MaskerAtLimit => "Masker at its limit: no threshold",
        MaskingVerdict.NotSettled => "Not settled: no threshold",
        _ => Progress(PlateauReading.Of(plateau), plateau.AcceptRiseDb),
    };

    /// <summary>The sentences under the headline: the reason, what would solve it, what comes next.</summary>
    public static IReadOnlyList<string> Sentences(MaskingPlateau plateau)
    {
        List<string> sentences = [];
        var reading = PlateauReading.Of(plateau);
        if (plateau.Verdict is not null and not MaskingVerdict.Plateau && reading.Stand is { } stand && stand.RiseDb >= plateau.AcceptRiseDb)
        {
            sentences.Add($"The tone stood still over {Number(stand.RiseDb)} dB of the masker, but that is not accepted as a plateau.");
        }

        if (!reading.IsPlateau && reading.Stand is null && reading.Points.Count > 1 && reading.Points[^1].ToneDbHl - reading.Points[0].ToneDbHl is > 0 and var rise)
        {
            sentences.Add($"The tone rose {Number(rise)} dB while the masker rose {Number(reading.Points[^1].MaskerDbEm - reading.Points[0].MaskerDbEm)} dB: as long as it rises, the other ear may be the one that answers.");
        }

        if (!string.IsNullOrWhiteSpace(plateau.Reason))
        {
            sentences.Add(plateau.Reason);
        }

        if (!string.IsNullOrWhiteSpace(plateau.Remedy))
        {
            sentences.Add($"What would solve it: {plateau.Remedy}");
        }

        if (plateau is { Verdict: null, Next: { } next } && double.IsFinite(next.ToneDbHl) && double.IsFinite(next.MaskerDbEm))
        {
            sentences.Add($"Next: tone {Number(next.ToneDbHl)} dB HL, masker {Number(next.MaskerDbEm)} dB EM.{(string.IsNullOrWhiteSpace(next.Reason) ? string.Empty : $" {next.Reason}")}");
        }

        return sentences;
    }

    /// <summary>The sentences about what limits the masker.</summary>
    public static IReadOnlyList<string> Bounds(MaskingPlateau plateau)
    {
        List<string> bounds = [];
        if (plateau.MinimumDbEm is { } least && double.IsFinite(least))
        {
            bounds.Add($"min: least masker needed by the formula, {Number(least)} dB EM");
        }

        if (plateau.OverMaskingFromDbEm is { } most && double.IsFinite(most))
        {
            bounds.Add($"max: above {Number(most)} dB EM the masker may reach this ear");
        }

        if (plateau.MinimumDbEm >= plateau.OverMaskingFromDbEm)
        {
            bounds.Add("No masker is both enough and safe: a dilemma by the formulas");
        }

        return bounds;
    }

    /// <summary>The description a screen reader reads after the title.</summary>
    public static string Describe(MaskingPlateau plateau)
    {
        var reading = PlateauReading.Of(plateau);
        List<string> parts = [$"{Subject(plateau)}.", $"{Headline(plateau)}."];
        if (plateau.UnmaskedDbHl is { } unmasked && double.IsFinite(unmasked))
        {
            parts.Add($"Without a masker: {Number(unmasked)} dB HL.");
        }

        parts.Add(reading.Points.Count == 0
            ? "No point yet."
            : $"Points: {string.Join("; ", reading.Points.Select(point => $"masker {Number(point.MaskerDbEm)} dB EM, tone {Number(point.ToneDbHl)} dB HL"))}.");
        if (reading is { IsPlateau: true, Stand: { } stand })
        {
            parts.Add($"The tone stood at {Number(stand.LevelDbHl)} dB HL while the masker rose from {Number(reading.Points[stand.First].MaskerDbEm)} to {Number(reading.Points[stand.Last].MaskerDbEm)} dB EM.");
        }

        parts.AddRange(Bounds(plateau).Select(bound => $"{char.ToUpperInvariant(bound[0])}{bound[1..]}."));
        parts.AddRange(Sentences(plateau));
        return string.Join(" ", parts);
    }

    /// <summary>The points, in order.</summary>
    public static IReadOnlyList<PlateauRow> Rows(MaskingPlateau plateau)
    {
        var reading = PlateauReading.Of(plateau);
        return
        [
            .. reading.Points.Select((point, index) => new PlateauRow(
                $"{Number(point.MaskerDbEm)} dB EM",
                $"{Number(point.ToneDbHl)} dB HL",
                index == 0 ? string.Empty : Change(point.ToneDbHl - reading.Points[index - 1].ToneDbHl),
                Part(reading.PhaseOf(index)))),
        ];
    }

    /// <summary>What a phase is called.</summary>
    public static string Name(PlateauPhase phase) => phase switch
    {
        PlateauPhase.UnderMasked => "undermasked",
        PlateauPhase.Plateau => "plateau",
        PlateauPhase.OverMasked => "overmasked",
        _ => "open",
    };

    /// <summary>What a phase means, in words.</summary>
    public static string Meaning(PlateauPhase phase) => phase switch
    {
        PlateauPhase.UnderMasked => "undermasked: the other ear still answers",
        PlateauPhase.Plateau => "plateau: the ear under test answers",
        PlateauPhase.OverMasked => "overmasked: the masker reaches this ear",
        _ => "no plateau here",
    };

    internal static string Number(double value) => OutcomeText.Number(value);

    private static string Part(PlateauPhase phase) => phase == PlateauPhase.Open ? Meaning(phase) : Name(phase);

    private static string Change(double db) => db == 0 ? "unchanged" : db > 0 ? $"up {Number(db)} dB" : $"down {Number(-db)} dB";

    private static string Progress(PlateauReading reading, double acceptRiseDb) => reading switch
    {
        { Points.Count: 0 } => "No point yet",
        { Points.Count: 1 } => "One point so far",
        { IsPlateau: true, Stand: { } stand } => $"Plateau at {Number(stand.LevelDbHl)} dB HL over {Number(stand.RiseDb)} dB of the masker",
        { Stand: { } stand } => $"Standing still: {Number(stand.RiseDb)} of {Number(acceptRiseDb)} dB",
        _ when reading.Points[^1].ToneDbHl > reading.Points[0].ToneDbHl => "Still rising: this is not a threshold",
        _ => "No plateau yet",
    };
}
