using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Calibration;

/// <summary>The words for kinds of transducer and couplers in files, and for people.</summary>
public static class GearNames
{
    private static readonly (TransducerKind Kind, string Written, string Words)[] _kinds =
    [
        (TransducerKind.SupraAural, "supra-aural", "supra-aural earphones"),
        (TransducerKind.Insert, "insert", "insert earphones"),
        (TransducerKind.Circumaural, "circumaural", "circumaural earphones"),
        (TransducerKind.HighFrequencyInsert, "high-frequency-insert", "high-frequency insert earphones"),
        (TransducerKind.BoneVibrator, "bone-vibrator", "a bone vibrator"),
    ];

    private static readonly (Coupler Coupler, string Written, string Words)[] _couplers =
    [
        (Coupler.Iec60318Part1, "iec-60318-1", "IEC 60318-1 ear simulator"),
        (Coupler.Iec60318Part1WithFlatPlate, "iec-60318-1-flat-plate", "IEC 60318-1 ear simulator with flat plate"),
        (Coupler.Iec60318Part3, "iec-60318-3", "IEC 60318-3 coupler"),
        (Coupler.Iec60318Part4, "iec-60318-4", "IEC 60318-4 occluded-ear simulator"),
        (Coupler.Iec60318Part5, "iec-60318-5", "IEC 60318-5 coupler"),
        (Coupler.Iec60318Part6, "iec-60318-6", "IEC 60318-6 mechanical coupler"),
    ];

    /// <summary>Kinds of transducer as a file writes them.</summary>
    public static IReadOnlyList<string> Kinds { get; } = [.. _kinds.Select(line => line.Written)];

    /// <summary>Couplers as a file writes them.</summary>
    public static IReadOnlyList<string> Couplers { get; } = [.. _couplers.Select(line => line.Written)];

    /// <summary>A kind of transducer in words.</summary>
    public static string Words(TransducerKind kind) => _kinds.FirstOrDefault(line => line.Kind == kind).Words ?? kind.ToString();

    /// <summary>A coupler in words.</summary>
    public static string Words(Coupler coupler) => _couplers.FirstOrDefault(line => line.Coupler == coupler).Words ?? coupler.ToString();

    /// <summary>A coupler as a file writes it.</summary>
    public static string Written(Coupler coupler) => _couplers.FirstOrDefault(line => line.Coupler == coupler).Written ?? coupler.ToString();

    /// <summary>A kind of transducer as a file writes it.</summary>
    public static string Written(TransducerKind kind) => _kinds.FirstOrDefault(line => line.Kind == kind).Written ?? kind.ToString();

    /// <summary>Reads a kind of transducer.</summary>
    public static TransducerKind? FindKind(string written) =>
        Array.FindIndex(_kinds, line => string.Equals(line.Written, written, StringComparison.OrdinalIgnoreCase)) is >= 0 and var index ? _kinds[index].Kind : null;

    /// <summary>Reads a coupler.</summary>
    public static Coupler? FindCoupler(string written) =>
        Array.FindIndex(_couplers, line => string.Equals(line.Written, written, StringComparison.OrdinalIgnoreCase)) is >= 0 and var index ? _couplers[index].Coupler : null;
}
