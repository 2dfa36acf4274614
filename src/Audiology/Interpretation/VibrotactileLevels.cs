using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Interpretation;

/// <summary>Levels from which a bone vibrator can be felt, so that a response need not be hearing.</summary>
/// <remarks>ISO 8253-1:2010, 8.4 and its note: about 40 dB HL at 250 Hz, 60 at 500 Hz, 70 at 1000 Hz on the mastoid, 10 dB lower on the forehead. 750 Hz takes the lower of its neighbours: a choice of this tool.</remarks>
public static class VibrotactileLevels
{
    private const double ForeheadLowerDb = 10;

    /// <summary>Level from which a tone can be felt, dB HL; absent by air and above 1000 Hz, where the standard names none.</summary>
    public static double? FromDbHl(ConductionRoute route, int frequencyHz)
    {
        double? mastoid = frequencyHz switch
        {
            250 => 40,
            500 or 750 => 60,
            1000 => 70,
            _ => null,
        };
        return route switch
        {
            ConductionRoute.BoneMastoid => mastoid,
            ConductionRoute.BoneForehead => mastoid - ForeheadLowerDb,
            _ => null,
        };
    }
}
