using TeleHearing.Audiology;

namespace TeleHearing.Charts;

/// <summary>One point of a known-ear history: how far a threshold had moved from its baseline.</summary>
/// <param name="At">When it was checked.</param>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="ShiftDb">Shift in dB; above zero means that a higher level was needed.</param>
/// <param name="PersonCode">Who listened, as a code.</param>
public sealed record KnownEarPoint(DateTimeOffset At, Ear Ear, int FrequencyHz, double ShiftDb, string PersonCode);

/// <summary>Known-ear checks of a kit over time.</summary>
/// <param name="Title">What is shown.</param>
/// <param name="Points">Points, at most one for each check and ear.</param>
public sealed record KnownEarHistory(string Title, IReadOnlyList<KnownEarPoint> Points)
{
    /// <summary>Begins the ids of the drawing, so that two on one page do not share any.</summary>
    public string IdPrefix { get; init; } = "known-ear";
}
