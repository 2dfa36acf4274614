namespace TeleHearing.Audiology.Signals;

/// <summary>Makes the samples of a pure tone with raised-cosine rise and fall, steady or pulsed.</summary>
/// <remarks>
/// Each sample depends on its frame index alone, so that any block size, order or repetition gives the same samples, and a stream that is picked up
/// again has no click. Computed in double precision; the phase is counted in cycles from the first frame and brought to one cycle before the sine, so that it stays right over minutes.
/// </remarks>
public sealed class ToneSynthesizer : IStimulus
{
    private readonly GatedSound.Source _fill;
    private readonly Gate _gate;
    private readonly double _cyclesPerFrame;

    /// <summary>Prepares a tone.</summary>
    /// <exception cref="ArgumentOutOfRangeException">A value of the specification is outside its range or not finite.</exception>
    public ToneSynthesizer(ToneSpec spec)
    {
        ArgumentNullException.ThrowIfNull(spec);
        spec.ThrowIfFaulty();
        Spec = spec;
        _fill = Fill;
        _gate = new Gate(spec.Shape, spec.DurationMs, spec.SampleRateHz);
        _cyclesPerFrame = spec.FrequencyHz / spec.SampleRateHz;
    }

    /// <summary>What is made.</summary>
    public ToneSpec Spec { get; }

    /// <inheritdoc />
    public long TotalFrames => _gate.TotalFrames;

    /// <inheritdoc />
    public void Render(long startFrame, Span<float> mono) => GatedSound.Render(_fill, _gate, startFrame, mono);

    private void Fill(long startFrame, Span<double> samples) => SineWave.Fill(samples, startFrame, _cyclesPerFrame, Spec.PeakAmplitude);
}
