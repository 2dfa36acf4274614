using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>Between which levels a threshold lies, and how surely.</summary>
/// <param name="LowerDbHl">Lower end, dB HL.</param>
/// <param name="UpperDbHl">Upper end, dB HL.</param>
/// <param name="Share">Probability that the threshold lies between them, 0 to 1.</param>
public sealed record CredibleInterval(double LowerDbHl, double UpperDbHl, double Share)
{
    /// <summary>Whether the numbers can be drawn and told.</summary>
    public bool IsUsable => double.IsFinite(LowerDbHl) && double.IsFinite(UpperDbHl) && LowerDbHl <= UpperDbHl && Share is > 0 and <= 1;
}

/// <summary>One measurement to draw. By air and not masked, unless said otherwise.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="Frequency">Frequency.</param>
/// <param name="Outcome">What the measurement came to.</param>
/// <param name="Superseded">A later measurement of the same kind stands in its place; drawn small and never joined.</param>
public sealed record AudiogramPoint(Ear Ear, AudiometricFrequency Frequency, ThresholdOutcome Outcome, bool Superseded = false)
{
    /// <summary>How the tone reached the ear.</summary>
    public ConductionRoute Route { get; init; } = ConductionRoute.Air;

    /// <summary>Whether the other ear was masked.</summary>
    public bool Masked { get; init; }

    /// <summary>Whether it is an estimate and not the end of a standard search; drawn in broken strokes.</summary>
    public bool Estimate { get; init; }

    /// <summary>Between which levels the threshold lies, when the method says so; drawn as a bar.</summary>
    public CredibleInterval? Interval { get; init; }
}
