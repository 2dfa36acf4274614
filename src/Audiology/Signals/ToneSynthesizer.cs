namespace TeleHearing.Audiology.Signals;

/// <summary>Makes the samples of a pure tone with raised-cosine rise and fall, steady or pulsed.</summary>
/// <remarks>
/// Each sample depends on its frame index alone, so that any block size, order or repetition gives the same samples, and a stream that is picked up
/// again has no click. Computed in double precision; the phase is reduced to one turn before the sine, so that it stays exact over minutes.
/// </remarks>
public sealed class ToneSynthesizer : IStimulus
{
    private readonly double _amplitude;
    private readonly double _rampFrames;
    private readonly long _burstFrames;
    private readonly long _periodFrames;

    /// <summary>Prepares a tone.</summary>
    /// <exception cref="ArgumentOutOfRangeException">A value of the specification is outside its range or not finite.</exception>
    public ToneSynthesizer(ToneSpec spec)
    {
        ArgumentNullException.ThrowIfNull(spec);
        ArgumentOutOfRangeException.ThrowIfLessThan(spec.SampleRateHz, 8000, nameof(spec));
        Require(spec.FrequencyHz > 0 && spec.FrequencyHz < spec.SampleRateHz / 2.0, spec.FrequencyHz, "The frequency must be above 0 and below half the sample rate.");
        Require(spec.PeakAmplitude is >= 0 and <= 1, spec.PeakAmplitude, "The peak amplitude must be 0 to 1.");
        Require(spec.DurationMs is >= 100 and <= 60_000, spec.DurationMs, "The duration must be 100 to 60 000 ms.");
        Spec = spec;
        _amplitude = spec.PeakAmplitude;
        _rampFrames = Frames(PulsePattern.RampMs);
        if (spec.Shape == ToneShape.Pulsed)
        {
            _burstFrames = (long)Math.Round(Math.Min(Frames(PulsePattern.PulseMs), Frames(spec.DurationMs)));
            _periodFrames = (long)Math.Round(Frames(PulsePattern.PeriodMs));
            TotalFrames = ((PulsePattern.WholePulses(spec.DurationMs) - 1) * _periodFrames) + _burstFrames;
        }
        else
        {
            _burstFrames = (long)Math.Round(Frames(spec.DurationMs));
            _periodFrames = _burstFrames;
            TotalFrames = _burstFrames;
        }
    }

    /// <summary>What is made.</summary>
    public ToneSpec Spec { get; }

    /// <inheritdoc />
    public long TotalFrames { get; }

    /// <inheritdoc />
    public void Render(long startFrame, Span<float> mono)
    {
        for (var i = 0; i < mono.Length; i++)
        {
            mono[i] = (float)Sample(startFrame + i);
        }
    }

    private double Sample(long frame)
    {
        if (frame < 0 || frame >= TotalFrames)
        {
            return 0;
        }

        var envelope = Envelope(frame % _periodFrames);
        if (envelope == 0)
        {
            return 0;
        }

        var cycles = Spec.FrequencyHz * frame / Spec.SampleRateHz;
        return _amplitude * envelope * Math.Sin(Math.Tau * (cycles - Math.Floor(cycles)));
    }

    private double Envelope(long frameInBurst)
    {
        if (frameInBurst >= _burstFrames)
        {
            return 0;
        }

        var framesToEdge = Math.Min(frameInBurst, _burstFrames - 1 - frameInBurst);
        return framesToEdge >= _rampFrames ? 1 : 0.5 * (1 - Math.Cos(Math.PI * framesToEdge / _rampFrames));
    }

    private double Frames(double milliseconds) => milliseconds * Spec.SampleRateHz / 1000;

    private static void Require(bool holds, double value, string sentence)
    {
        if (!holds)
        {
            throw new ArgumentOutOfRangeException("spec", value, sentence);
        }
    }
}
