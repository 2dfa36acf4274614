using TeleHearing.Audiology.Signals;

namespace TeleHearing.Audiology.Tests.Signals;

/// <summary>A tone one sample at a time with the sine of the library: the oracle of the fast one.</summary>
internal sealed class PlainTone(ToneSpec spec)
{
    private readonly double _rampFrames = PulsePattern.RampMs * spec.SampleRateHz / 1000;
    private readonly long _burstFrames = (long)Math.Round((spec.Shape == ToneShape.Pulsed ? PulsePattern.PulseMs : spec.DurationMs) * spec.SampleRateHz / 1000);
    private readonly long _periodFrames = (long)Math.Round((spec.Shape == ToneShape.Pulsed ? PulsePattern.PeriodMs : spec.DurationMs) * spec.SampleRateHz / 1000);

    public double Sample(long frame)
    {
        var inPeriod = frame % _periodFrames;
        if (inPeriod >= _burstFrames)
        {
            return 0;
        }

        var toEdge = Math.Min(inPeriod, _burstFrames - 1 - inPeriod);
        var envelope = toEdge >= _rampFrames ? 1 : 0.5 * (1 - Math.Cos(Math.PI * toEdge / _rampFrames));

        // Whole hertz and frames are exact in decimal, so that the phase is too.
        var cycles = (decimal)spec.FrequencyHz * frame / spec.SampleRateHz;
        return spec.PeakAmplitude * envelope * Math.Sin(Math.Tau * (double)(cycles - decimal.Floor(cycles)));
    }
}
