namespace TeleHearing.Audiology.Signals;

/// <summary>Makes the samples of a warble tone.</summary>
internal sealed class WarbleSynthesizer : IStimulus
{
    /// <summary>A quarter of a cycle: turns the sine into a cosine.</summary>
    private const double Quarter = 0.25;
    private readonly GatedSound.Source _fill;
    private readonly Gate _gate;
    private readonly double _cyclesPerFrame;
    private readonly double _swingsPerFrame;
    private readonly double _swingCycles;
    private readonly double _amplitude;

    public WarbleSynthesizer(WarbleSpec spec)
    {
        _fill = Fill;
        _gate = new Gate(spec.Shape, spec.DurationMs, spec.SampleRateHz);
        _cyclesPerFrame = spec.FrequencyHz / spec.SampleRateHz;
        _swingsPerFrame = spec.RateHz / spec.SampleRateHz;
        _swingCycles = spec.DeviationHz / (Math.Tau * spec.RateHz);
        _amplitude = spec.PeakAmplitude;
    }

    public long TotalFrames => _gate.TotalFrames;

    public void Render(long startFrame, Span<float> mono) => GatedSound.Render(_fill, _gate, startFrame, mono);

    /// <summary>The phase is the integral of the swinging frequency: f t + d f / (2 pi r) (1 - cos(2 pi r t)), in cycles.</summary>
    private void Fill(long startFrame, Span<double> samples)
    {
        for (var i = 0; i < samples.Length; i++)
        {
            samples[i] = ((startFrame + i) * _swingsPerFrame) + Quarter;
        }

        SineWave.OfCycles(samples, 1);
        for (var i = 0; i < samples.Length; i++)
        {
            samples[i] = ((startFrame + i) * _cyclesPerFrame) + (_swingCycles * (1 - samples[i]));
        }

        SineWave.OfCycles(samples, _amplitude);
    }
}
