namespace TeleHearing.Audiology.Signals;

/// <summary>Makes sounds from their specifications.</summary>
public static class Stimulus
{
    /// <summary>Makes a sound.</summary>
    /// <param name="spec">What to make. Ask <see cref="StimulusSpec.Faults"/> first when it may be wrong.</param>
    /// <param name="earlier">A sound made before, absent when there is none. When both are the same noise but for level and length, the work of making it is not done again.</param>
    /// <exception cref="ArgumentOutOfRangeException">A value of the specification is outside its range or not finite.</exception>
    public static IStimulus Make(StimulusSpec spec, IStimulus? earlier = null)
    {
        ArgumentNullException.ThrowIfNull(spec);
        spec.ThrowIfFaulty();
        return spec switch
        {
            ToneSpec tone => new ToneSynthesizer(tone),
            WarbleSpec warble => new WarbleSynthesizer(warble),
            NoiseSpec noise => new NoiseSynthesizer(noise, earlier as NoiseSynthesizer),
            SilenceSpec silence => new Silence(silence),
            _ => throw new InvalidOperationException($"Nothing makes a {spec.GetType().Name}."),
        };
    }
}
