using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>Measurements of an audiogram in words.</summary>
public static class PointText
{
    /// <summary>What was measured, in full: "Right ear, bone conduction, masked, 2000 Hz: 25 dB HL".</summary>
    /// <param name="point">Measurement.</param>
    /// <param name="sinceMasked">Whether masking has been done there since (<see cref="Audiogram.IsSinceMasked"/>).</param>
    public static string Sentence(AudiogramPoint point, bool sinceMasked = false)
    {
        var standing = sinceMasked ? " (since masked)" : point.Superseded ? " (earlier measurement)" : string.Empty;
        return $"{Series(point)}, {point.Frequency}: {OutcomeText.Full(point.Outcome)}{Precision(point)}{standing}";
    }

    /// <summary>The ear and the kind of measurement: "Right ear, bone conduction, masked".</summary>
    public static string Series(AudiogramPoint point) => (point.Route, point.Masked) switch
    {
        (ConductionRoute.BoneForehead, false) => "Either ear, bone conduction from the forehead, not masked",
        (_, true) => $"{OutcomeText.Name(point.Ear)} ear, {Route(point.Route)}, masked",
        (ConductionRoute.Air, false) => $"{OutcomeText.Name(point.Ear)} ear, {Route(point.Route)}",
        _ => $"{OutcomeText.Name(point.Ear)} ear, {Route(point.Route)}, not masked",
    };

    /// <summary>The route in words.</summary>
    public static string Route(ConductionRoute route) => route switch
    {
        ConductionRoute.BoneMastoid => "bone conduction",
        ConductionRoute.BoneForehead => "bone conduction from the forehead",
        _ => "air conduction",
    };

    /// <summary>How exactly the threshold is known, to follow the outcome: "; estimate, 90 % between 20 and 30 dB HL". Empty for a standard search without an interval.</summary>
    public static string Precision(AudiogramPoint point)
    {
        var interval = point.Interval is { IsUsable: true } known
            ? $"{OutcomeText.Number(100 * known.Share)} % between {OutcomeText.Number(known.LowerDbHl)} and {OutcomeText.Number(known.UpperDbHl)} dB HL"
            : null;
        return (point.Estimate, interval) switch
        {
            (true, null) => "; estimate",
            (true, _) => $"; estimate, {interval}",
            (false, null) => string.Empty,
            _ => $"; {interval}",
        };
    }
}
