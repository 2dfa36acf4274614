using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Noise;
using TeleHearing.Charts;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Puts the room as it is heard live beside the limits of the kit's transducer (ISO 8253-1:2010, 11.1).</summary>
public static class LiveRooms
{
    private const int UsualLowestToneHz = 250;

    /// <summary>The strip.</summary>
    /// <param name="room">The room.</param>
    /// <param name="kind">Transducer; without one there are no limits.</param>
    /// <param name="levelDbHl">Level of the tone in hand: the limits rise with it.</param>
    /// <param name="frequency">The tone in hand, if there is one.</param>
    /// <param name="idPrefix">Start of the element ids.</param>
    public static NoiseStrip Strip(LiveRoom room, TransducerKind? kind, double levelDbHl, AudiometricFrequency? frequency, string idPrefix)
    {
        var limits = kind is { } known ? AmbientNoiseLimits.For(known, Math.Min(UsualLowestToneHz, frequency?.Hertz ?? UsualLowestToneHz)) : null;
        var bearing = frequency is { } tone ? RoomJudgement.BandsThatMatter(tone) : [];
        return new NoiseStrip("The room now", [.. ThirdOctaveBands.Nominal.Zip(room.LevelsDbSpl).Select((pair, index) =>
        {
            var (band, level) = pair;
            double? limit = limits is not null && limits.TryGetValue(band, out var printed) ? printed + levelDbHl : null;
            double? own = index < room.OwnNoiseDbSpl.Count ? room.OwnNoiseDbSpl[index] : null;
            return new NoiseStripBand(band, level, limit, limit is { } most ? RoomJudgement.BandVerdict(level, own, most) : NoiseVerdict.NoLimit, bearing.Contains(band));
        })]) { IdPrefix = idPrefix };
    }
}
