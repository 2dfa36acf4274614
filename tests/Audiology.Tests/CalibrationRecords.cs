using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Tests;

/// <summary>Calibration records of an invented laboratory.</summary>
internal static class CalibrationRecords
{
    public static readonly DateOnly Today = new(2026, 3, 2);

    public static CalibrationRecord Flat(TransducerKind kind, Coupler coupler, double splAtFullScaleDb) => new(
        "C-1",
        "U-1",
        "T-1",
        kind,
        coupler,
        new DateOnly(2026, 1, 10),
        new DateOnly(2027, 1, 9),
        "Invented laboratory",
        [
            .. new[] { Ear.Right, Ear.Left }.SelectMany(ear => (kind == TransducerKind.BoneVibrator ? BoneFrequencies.Tested : AudiometricFrequency.All).Select(frequency =>
                new CalibrationEntry(ear, frequency.Hertz, splAtFullScaleDb, Limit(kind, frequency)))),
        ]);

    public static CalibrationRecord Usual() => Flat(TransducerKind.Insert, Coupler.Iec60318Part4, 140);

    public static double Limit(TransducerKind kind, AudiometricFrequency frequency) => CeilingRules.Usual(kind).HighestFor(kind, frequency)!.Value;
}
