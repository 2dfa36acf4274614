namespace TeleHearing.Audiology.Simulation;

/// <summary>Follows the sound on one earphone, hop by hop, and says how far a tone in it lies above threshold.</summary>
/// <remarks>A sound is first taken for a tone. When its first stretch turns out to be a noise, it is a masker until it ends: nobody presses for it, and it raises thresholds.</remarks>
internal sealed class EarphoneListening(Ear earphone, TwoEars ears, RoomAtTheEar room, Maskers maskers, int sampleRateHz, int hopFrames)
{
    /// <summary>Below this a hop counts as silence, dB SPL: 20 dB below the best hearing there is.</summary>
    private const double SilenceDbSpl = -40;

    /// <summary>A sound shorter than this needs more level, by energy (temporal integration, common handbook value), ms.</summary>
    private const double IntegrationMs = 200;

    /// <summary>How many silent hops the splatter of an ending is waited for.</summary>
    private const int HopsOfAftermath = 4;

    /// <summary>After so many silent hops a noise is over; a soft narrow band may fall silent for a hop.</summary>
    private const int HopsUntilNoiseEnds = 5;

    /// <summary>A tone in a noise counts as gone when it was not found for this many hops: one look.</summary>
    private const int HopsUntilToneIsGone = 36;

    private readonly Ear _other = earphone.Other();
    private readonly BurstMeter _burst = new(sampleRateHz, hopFrames);
    private readonly SplatterMeter _splatter = new(sampleRateHz);
    private readonly ToneInNoise _toneInNoise = new(sampleRateHz);
    private bool _isNoise;
    private bool _isTone;
    private bool _burstSounds;
    private int _silentHops;
    private int _hopsSinceTone = HopsUntilToneIsGone;
    private int _aftermath;
    private int _hops;

    /// <summary>Whether there is, or may be, a tone: any sound that is not known to be noise, or a tone found in the noise.</summary>
    public bool Sounding => _isNoise ? _hopsSinceTone < HopsUntilToneIsGone : _burstSounds;

    /// <summary>Whether what sounds is a noise.</summary>
    public bool IsNoise => _isNoise;

    /// <summary>Takes in a hop. What comes back is how far a sound lies above threshold and which ear hears it, at the moments when that can be told.</summary>
    public IReadOnlyList<(double SensationDb, Ear HeardBy)> Add(ReadOnlySpan<float> samples)
    {
        var energy = 0.0;
        foreach (var sample in samples)
        {
            energy += (double)sample * sample;
        }

        _splatter.Keep(samples);
        var sounds = energy > 0 && ears.LoudestSplDb(earphone, energy / samples.Length) > SilenceDbSpl;
        return _isNoise ? InNoise(samples, sounds) : InQuiet(samples, sounds);
    }

    private IReadOnlyList<(double SensationDb, Ear HeardBy)> InQuiet(ReadOnlySpan<float> samples, bool sounds)
    {
        var wasSounding = _burstSounds;
        _burstSounds = sounds;
        if (!sounds && !wasSounding && _aftermath == 0)
        {
            return [];
        }

        FollowSpectrum(samples, sounds, wasSounding);
        var reading = sounds ? _burst.Add(samples) : wasSounding ? _burst.End() : null;
        if (reading is { IsNoise: true } && !_isTone)
        {
            BecomeNoise(sounds);
            return [];
        }

        _isTone = sounds && (_isTone || reading is not null);
        _aftermath = sounds ? HopsOfAftermath : _aftermath - 1;
        if (_hops++ % 2 == 0)
        {
            _splatter.Analyse();
        }

        var heard = new List<(double, Ear)>();
        if (reading is { } tone)
        {
            heard.Add(Sensation(tone.FrequencyHz, tone.MeanSquare, tone.DurationMs, double.NegativeInfinity));
        }

        if (reading is not null || _aftermath == 0)
        {
            heard.AddRange(_splatter.Spread().Select(spread => Sensation(spread.Hertz, spread.MeanSquare, _splatter.WindowMs, double.NegativeInfinity)));
        }

        if (_aftermath == 0)
        {
            _splatter.Clear();
            _hops = 0;
        }

        return heard;
    }

    private IReadOnlyList<(double SensationDb, Ear HeardBy)> InNoise(ReadOnlySpan<float> samples, bool sounds)
    {
        _silentHops = sounds ? 0 : _silentHops + 1;
        if (_silentHops == HopsUntilNoiseEnds)
        {
            maskers.Set(earphone, noise: false);
            _toneInNoise.Clear();
            (_isNoise, _hopsSinceTone) = (false, HopsUntilToneIsGone);
            return [];
        }

        maskers.SpectrumOf(earphone).Add(samples);
        _hopsSinceTone = Math.Min(_hopsSinceTone + 1, HopsUntilToneIsGone);
        var tones = _toneInNoise.Add(samples);
        _hopsSinceTone = tones.Count > 0 ? 0 : _hopsSinceTone;
        return [.. tones.Select(tone => Sensation(tone.FrequencyHz, tone.MeanSquare, IntegrationMs, maskers.DbEm(earphone, tone.FrequencyHz, tone.NoiseMeanSquare)))];
    }

    /// <summary>The spectrum is taken from the onset on, since only later it is known whether the sound is a noise.</summary>
    private void FollowSpectrum(ReadOnlySpan<float> samples, bool sounds, bool wasSounding)
    {
        if (!sounds || _isTone)
        {
            return;
        }

        if (!wasSounding)
        {
            maskers.SpectrumOf(earphone).Clear();
        }

        maskers.SpectrumOf(earphone).Add(samples);
    }

    private void BecomeNoise(bool sounds)
    {
        _burst.End();
        _splatter.Clear();
        (_burstSounds, _isTone, _aftermath, _hops) = (false, false, 0, 0);
        (_isNoise, _silentHops) = (true, sounds ? 0 : 1);
        maskers.Set(earphone, noise: true);
    }

    private (double SensationDb, Ear HeardBy) Sensation(double hertz, double meanSquare, double durationMs, double sameDbEm)
    {
        var lost = Math.Max(0, 10 * Math.Log10(IntegrationMs / durationMs));
        return ears.Hear(earphone, hertz, ears.LevelDbHl(earphone, hertz, meanSquare) - lost, room, sameDbEm, maskers.DbEm(_other, hertz));
    }
}
