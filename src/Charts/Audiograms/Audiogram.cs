using TeleHearing.Audiology;
using TeleHearing.Audiology.Noise;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>Which ears a chart shows.</summary>
public enum EarFilter
{
    /// <summary>Both on one chart.</summary>
    Both,

    /// <summary>The right ear alone.</summary>
    RightOnly,

    /// <summary>The left ear alone.</summary>
    LeftOnly,
}

/// <summary>Where a hand-held test stands on the chart.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="Frequency">Frequency.</param>
/// <param name="LevelDbHl">Level in dB HL.</param>
public sealed record AudiogramCursor(Ear Ear, AudiometricFrequency Frequency, double LevelDbHl);

/// <summary>What an audiogram shows, apart from how it is drawn.</summary>
/// <param name="Title">Short title, read first by a screen reader.</param>
/// <param name="Points">Measurements, in any order. Of several that are not superseded at one ear, route and frequency, masked alike, the last is drawn.</param>
public sealed record Audiogram(string Title, IReadOnlyList<AudiogramPoint> Points)
{
    /// <summary>Which ears are shown.</summary>
    public EarFilter Ears { get; init; } = EarFilter.Both;

    /// <summary>Lowest level the room let the test prove, per frequency; levels above it on the chart are shaded. Empty: no shading.</summary>
    public IReadOnlyList<LowestProvableLevel> LowestProvable { get; init; } = [];

    /// <summary>A mark for the level in hand, if any. Never for a screen the person tested can see.</summary>
    public AudiogramCursor? Cursor { get; init; }

    /// <summary>A description for screen readers; when absent one is written from the points.</summary>
    public string? Description { get; init; }

    /// <summary>Start of the element ids, so that two charts can stand on one page. Letters, digits and hyphens.</summary>
    public string IdPrefix { get; init; } = "audiogram";

    /// <summary>Whether an ear is shown.</summary>
    public bool Shows(Ear ear) => Ears switch
    {
        EarFilter.RightOnly => ear == Ear.Right,
        EarFilter.LeftOnly => ear == Ear.Left,
        _ => true,
    };

    /// <summary>The standing measurements of one ear by rising frequency: one for each route and frequency without masking, and one with it.</summary>
    public IReadOnlyList<AudiogramPoint> Standing(Ear ear) =>
    [
        .. Points
            .Where(point => point.Ear == ear && !point.Superseded)
            .GroupBy(point => (point.Frequency, point.Route, point.Masked))
            .Select(group => group.Last())
            .OrderBy(point => point.Frequency)
            .ThenBy(point => point.Route)
            .ThenBy(point => point.Masked),
    ];

    /// <summary>The measurement of one ear and route that holds at each frequency, by rising frequency: the masked one where there is one, whatever it came to.</summary>
    /// <remarks>Where masking was tried and came to nothing, the unmasked measurement may be the other ear's: it does not hold, though it is still drawn.</remarks>
    public IReadOnlyList<AudiogramPoint> Holding(Ear ear, ConductionRoute route) =>
        [.. Standing(ear).Where(point => point.Route == route).GroupBy(point => point.Frequency).Select(group => group.Last())];

    /// <summary>Whether a masked measurement that came to a level stands in the place of this unmasked one; it is then drawn small.</summary>
    public bool IsOutranked(AudiogramPoint point) =>
        !point.Masked && !point.Superseded
        && Standing(point.Ear).Any(other => other.Masked && (other.Route, other.Frequency) == (point.Route, point.Frequency) && AudiogramSymbols.LevelOf(other.Outcome) is not null);

    /// <summary>Whether an unmasked measurement does not hold because masking was done there since, whatever that came to: a dilemma too says that this level may be the other ear's.</summary>
    public bool IsSinceMasked(AudiogramPoint point) =>
        IsOutranked(point)
        || (point is { Superseded: true, Masked: false } && Standing(point.Ear).Any(other => other.Masked && (other.Route, other.Frequency) == (point.Route, point.Frequency)));
}
