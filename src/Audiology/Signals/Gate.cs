namespace TeleHearing.Audiology.Signals;

/// <summary>When a sound is on: raised-cosine rise and fall, once or in pulses.</summary>
internal sealed class Gate
{
    private readonly double[] _ramp;
    private readonly long _burstFrames;
    private readonly long _periodFrames;

    public Gate(ToneShape shape, double durationMs, int sampleRateHz)
    {
        double Frames(double milliseconds) => milliseconds * sampleRateHz / 1000;

        var rampFrames = Frames(PulsePattern.RampMs);
        _ramp = [.. Enumerable.Range(0, (int)Math.Ceiling(rampFrames)).Select(frame => 0.5 * (1 - Math.Cos(Math.PI * frame / rampFrames)))];
        if (shape == ToneShape.Pulsed)
        {
            _burstFrames = (long)Math.Round(Math.Min(Frames(PulsePattern.PulseMs), Frames(durationMs)));
            _periodFrames = (long)Math.Round(Frames(PulsePattern.PeriodMs));
            TotalFrames = ((PulsePattern.WholePulses(durationMs) - 1) * _periodFrames) + _burstFrames;
        }
        else
        {
            _burstFrames = (long)Math.Round(Frames(durationMs));
            _periodFrames = _burstFrames;
            TotalFrames = _burstFrames;
        }
    }

    /// <summary>Frames from the first to the last in which it may be open.</summary>
    public long TotalFrames { get; }

    /// <summary>Multiplies samples from a frame on, all of them inside <see cref="TotalFrames"/>.</summary>
    public void Apply(long startFrame, Span<double> samples)
    {
        var fallFrom = _burstFrames - _ramp.Length;
        for (var place = 0; place < samples.Length;)
        {
            var inPeriod = (startFrame + place) % _periodFrames;
            var (until, stretch) = inPeriod < _ramp.Length ? (_ramp.Length, Stretch.Rise)
                : inPeriod < fallFrom ? (fallFrom, Stretch.Plateau)
                : inPeriod < _burstFrames ? (_burstFrames, Stretch.Fall)
                : (_periodFrames, Stretch.Closed);
            var length = (int)Math.Min(until - inPeriod, samples.Length - place);
            var part = samples.Slice(place, length);
            switch (stretch)
            {
                case Stretch.Rise:
                    Multiply(part, _ramp.AsSpan((int)inPeriod, length));
                    break;
                case Stretch.Fall:
                    MultiplyBackwards(part, _ramp.AsSpan(0, (int)(_burstFrames - inPeriod)));
                    break;
                case Stretch.Closed:
                    part.Clear();
                    break;
            }

            place += length;
        }
    }

    private static void Multiply(Span<double> samples, ReadOnlySpan<double> gains)
    {
        for (var i = 0; i < samples.Length; i++)
        {
            samples[i] *= gains[i];
        }
    }

    private static void MultiplyBackwards(Span<double> samples, ReadOnlySpan<double> gains)
    {
        for (var i = 0; i < samples.Length; i++)
        {
            samples[i] *= gains[gains.Length - 1 - i];
        }
    }

    private enum Stretch
    {
        Rise,
        Plateau,
        Fall,
        Closed,
    }
}
