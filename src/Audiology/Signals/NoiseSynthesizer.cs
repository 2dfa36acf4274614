namespace TeleHearing.Audiology.Signals;

/// <summary>Makes the samples of a noise from its period.</summary>
internal sealed class NoiseSynthesizer : IStimulus
{
    private readonly GatedSound.Source _fill;
    private readonly NoisePeriod _period;
    private readonly Gate _gate;
    private readonly double _rms;

    /// <summary>Prepares a noise.</summary>
    /// <param name="spec">A specification without faults.</param>
    /// <param name="earlier">Whose period is used again when it is the same.</param>
    public NoiseSynthesizer(NoiseSpec spec, NoiseSynthesizer? earlier)
    {
        var spectrum = spec.Spectrum;
        _fill = Fill;
        _rms = spec.Rms;
        _gate = new Gate(spec.Shape, spec.DurationMs, spec.SampleRateHz);
        _period = earlier?._period is { } known && known.Spectrum == spectrum && known.Seed == spec.Seed && known.SampleRateHz == spec.SampleRateHz
            ? known
            : new NoisePeriod(spectrum, spec.Seed, spec.SampleRateHz);
    }

    public long TotalFrames => _gate.TotalFrames;

    /// <summary>Frames after which the noise repeats.</summary>
    public int PeriodFrames => _period.Frames;

    public void Render(long startFrame, Span<float> mono) => GatedSound.Render(_fill, _gate, startFrame, mono);

    private void Fill(long startFrame, Span<double> samples) => _period.Fill(startFrame, samples, _rms);
}
