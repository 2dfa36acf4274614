using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Levels;

/// <summary>Where bone conduction is tested, and from which level on a vibrator is felt.</summary>
public static class BoneFrequencies
{
    // ISO 8253-1:2010, 8.4 (confirmed). Between these the felt level is not printed; interpolation is this tool's.
    private static readonly (int Hertz, double DbHl)[] _felt = [(250, 40), (500, 60), (1000, 70)];

    /// <summary>250 Hz to 4 kHz. ISO 389-3 tabulates 6 and 8 kHz too, but vibrators radiate sound into the air there and distort; they are left out by common practice.</summary>
    public static IReadOnlyList<AudiometricFrequency> Tested { get; } = [.. AudiometricFrequency.All.Where(frequency => frequency.Hertz is >= 250 and <= 4000)];

    /// <summary>Level from which on a response by bone may be to what is felt and not heard, dB HL; absent where none is printed (above 1 kHz) and by air.</summary>
    /// <remarks>Mastoid 40 dB HL at 250 Hz, 60 at 500 Hz, 70 at 1 kHz, and 10 dB lower with the vibrator on the forehead (ISO 8253-1:2010, 8.4 and its NOTE, confirmed); 750 Hz between its neighbours over the logarithm of frequency.</remarks>
    public static double? FeltFromDbHl(ConductionRoute route, AudiometricFrequency frequency)
    {
        if (route == ConductionRoute.Air || frequency.Hertz < _felt[0].Hertz || frequency.Hertz > _felt[^1].Hertz)
        {
            return null;
        }

        var above = Array.FindIndex(_felt, point => point.Hertz >= frequency.Hertz);
        var (high, low) = (_felt[above], _felt[Math.Max(0, above - 1)]);
        var share = high.Hertz == low.Hertz ? 1 : Math.Log((double)frequency.Hertz / low.Hertz) / Math.Log((double)high.Hertz / low.Hertz);
        return low.DbHl + (share * (high.DbHl - low.DbHl)) - (route == ConductionRoute.BoneForehead ? 10 : 0);
    }
}
