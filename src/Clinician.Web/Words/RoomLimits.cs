using TeleHearing.Audiology.Noise;
using TeleHearing.Charts;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Puts a room measurement beside the limits it is held against (ISO 8253-1:2010, 11.1).</summary>
public static class RoomLimits
{
    /// <summary>The spectrum with the limits of the kit's transducer; without limits when no kit check has named the transducer.</summary>
    public static NoiseSpectrum Spectrum(SessionView view, RoomResult room)
    {
        var limits = view.KitCheck?.Gear is { } gear && room.LowestProvable.Count > 0
            ? AmbientNoiseLimits.For(gear.TransducerKind, LowestTone(room)).Select(pair => new BandLimit(pair.Key, pair.Value))
            : [];
        return new NoiseSpectrum("Room noise", room.Bands, [.. limits]) { HighestBands = room.HighestBands };
    }

    /// <summary>Whose limits they are, in words; null when there are none.</summary>
    public static string? Words(SessionView view, RoomResult room) =>
        view.KitCheck?.Gear is { } gear && room.LowestProvable.Count > 0
            ? $"{FormWords.Transducer(gear.TransducerKind)} and tones from {LowestTone(room)} Hz (ISO 8253-1)"
            : null;

    private static int LowestTone(RoomResult room) => room.LowestProvable.Min(level => level.FrequencyHz);
}
