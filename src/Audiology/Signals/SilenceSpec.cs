namespace TeleHearing.Audiology.Signals;

/// <summary>Nothing, for as long as a sound would last: what a catch trial plays.</summary>
/// <param name="DurationMs">Length in ms, 100 to 600 000.</param>
/// <param name="SampleRateHz">Sample rate in Hz.</param>
public sealed record SilenceSpec(double DurationMs, int SampleRateHz) : StimulusSpec
{
    /// <inheritdoc />
    internal override double LongestMs => 600_000;

    private protected override IEnumerable<string> OwnFaults() => [];
}

/// <summary>Zeros.</summary>
internal sealed class Silence(SilenceSpec spec) : IStimulus
{
    public long TotalFrames { get; } = (long)Math.Round(spec.DurationMs * spec.SampleRateHz / 1000);

    public void Render(long startFrame, Span<float> mono) => mono.Clear();
}
