using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Noise;
using TeleHearing.Charts;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Puts a room measurement beside the limits it is held against (ISO 8253-1:2010, 11.1; ANSI S3.1).</summary>
public static class RoomLimits
{
    private const int UsualLowestToneHz = 250;

    /// <summary>The limits a clinician may choose for the kit's transducer: those that are printed for it.</summary>
    public static IReadOnlyList<NoiseCriterion> Selectable(SessionView view) => view.KitCheck?.Gear is { } gear
        ? [.. Enum.GetValues<NoiseCriterion>().Where(criterion => NoiseLimits.Find(criterion, NoiseLimits.ConditionOf(gear.TransducerKind), UsualLowestToneHz) is not null)]
        : [NoiseCriterion.Iso8253];

    /// <summary>Name of the limits.</summary>
    public static string Name(NoiseCriterion criterion) => criterion switch
    {
        NoiseCriterion.AnsiThirdOctave => "ANSI S3.1, third-octaves",
        NoiseCriterion.AnsiOctave => "ANSI S3.1, octaves",
        _ => "ISO 8253-1",
    };

    /// <summary>The spectrum with the limits of the kit's transducer; without limits when no kit check has named the transducer.</summary>
    public static NoiseSpectrum Spectrum(SessionView view, RoomResult room)
    {
        var limits = Find(view, room)?.Limits.Select(limit => new BandLimit(limit.BandHz, limit.LimitDbSpl)) ?? [];
        return new NoiseSpectrum("Room noise", InBands(room, room.Bands), [.. limits]) 
        {
            HighestBands = InBands(room, room.HighestBands),
            BandName = room.Criterion == NoiseCriterion.AnsiOctave ? "octave" : "third-octave",
        };
    }

    /// <summary>Whose limits they are, in words; null when there are none.</summary>
    public static string? Words(SessionView view, RoomResult room) => Find(view, room) is { } limits && view.KitCheck?.Gear is { } gear
        ? $"{FormWords.Transducer(gear.TransducerKind)} and tones from {LowestTone(room)} Hz ({Name(room.Criterion)}{(limits.Limits.Any(limit => limit.Status == ValueStatus.FromMemory) ? ", from memory in part: check them against the printed standard" : string.Empty)})"
        : null;

    private static NoiseLimits? Find(SessionView view, RoomResult room) => view.KitCheck?.Gear is { } gear && room.LowestProvable.Count > 0
        ? NoiseLimits.Find(room.Criterion, NoiseLimits.ConditionOf(gear.TransducerKind), LowestTone(room))
        : null;

    private static IReadOnlyList<BandLevel> InBands(RoomResult room, IReadOnlyList<BandLevel> thirds) => room.Criterion == NoiseCriterion.AnsiOctave ? BandSums.Octaves(thirds) : thirds;

    private static int LowestTone(RoomResult room) => room.LowestProvable.Min(level => level.FrequencyHz);
}
