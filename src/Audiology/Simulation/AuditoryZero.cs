using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Simulation;

/// <summary>The sound pressure level that a young normal ear just hears, as the simulated person knows it.</summary>
/// <remarks>
/// Written out a second time on purpose, from the printed columns of ISO 389-1, ISO 389-2 and ISO 389-8: were these read from the tables the level chain
/// uses, an error there would cancel itself out and stay unseen. A test compares the two.
/// </remarks>
internal static class AuditoryZero
{
    private static readonly double[] _hertz = [125, 250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000];

    /// <summary>The force level of a vibrator that young normal hearing just hears, dB re 1 µN: ISO 389-3, the mastoid confirmed (Henry and Letowski 2007, ARL-TR-4138, Table 8), the forehead from memory.</summary>
    public static LogFrequencyCurve Force(ConductionRoute route)
    {
        double[] forceDb = route == ConductionRoute.BoneForehead
            ? [79, 72, 61.5, 51, 47.5, 42.5, 42, 43.5, 51, 50]
            : [67, 58, 48.5, 42.5, 36.5, 31, 30, 35.5, 40, 40];
        return new LogFrequencyCurve(_hertz.Skip(1).Zip(forceDb));
    }

    public static LogFrequencyCurve Curve(TransducerKind kind, Coupler coupler)
    {
        double[] splDb = (kind, coupler) switch
        {
            // 60318-3 at 750, 1500, 3000 and 6000 Hz and 60318-5 at the same are from memory.
            (TransducerKind.SupraAural, Coupler.Iec60318Part3) => [45, 25.5, 11.5, 8, 7, 6.5, 9, 10, 9.5, 15.5, 13],
            (TransducerKind.SupraAural, Coupler.Iec60318Part1) => [45, 27, 13.5, 9, 7.5, 7.5, 9, 11.5, 12, 16, 15.5],
            (TransducerKind.Insert, Coupler.Iec60318Part4) => [28, 17.5, 9.5, 6, 5.5, 9.5, 11.5, 13, 15, 16, 15.5],
            (TransducerKind.Insert, Coupler.Iec60318Part5) => [26, 14, 5.5, 2, 0, 2, 3, 3.5, 5.5, 2, 0],
            (TransducerKind.Circumaural, Coupler.Iec60318Part1WithFlatPlate) => [30.5, 18, 11, 6, 5.5, 5.5, 4.5, 2.5, 9.5, 17, 17.5],
            _ => throw new ArgumentException($"A {kind} earphone is not measured on coupler {coupler}.", nameof(coupler)),
        };
        return new LogFrequencyCurve(_hertz.Zip(splDb));
    }
}
