namespace TeleHearing.Audiology.Simulation;

/// <summary>Follows the sound on one earphone, hop by hop, and says how far it lies above threshold.</summary>
internal sealed class EarphoneListening(Ear earphone, TwoEars ears, RoomAtTheEar room, int sampleRateHz, int hopFrames)
{
    /// <summary>Below this a hop counts as silence, dB SPL: 20 dB below the best hearing there is.</summary>
    private const double SilenceDbSpl = -40;

    /// <summary>A sound shorter than this needs more level, by energy (temporal integration, common handbook value), ms.</summary>
    private const double IntegrationMs = 200;

    /// <summary>How many silent hops the splatter of an ending is waited for.</summary>
    private const int HopsOfAftermath = 4;

    private readonly BurstMeter _burst = new(sampleRateHz, hopFrames);
    private readonly SplatterMeter _splatter = new(sampleRateHz);
    private int _aftermath;
    private int _hops;

    /// <summary>Whether the last hop had sound in it.</summary>
    public bool Sounding { get; private set; }

    /// <summary>Takes in a hop. What comes back is how far the sound lies above threshold and which ear hears it, at the moments when that can be told.</summary>
    public IEnumerable<(double SensationDb, Ear HeardBy)> Add(ReadOnlySpan<float> samples)
    {
        var energy = 0.0;
        foreach (var sample in samples)
        {
            energy += (double)sample * sample;
        }

        _splatter.Keep(samples);
        var wasSounding = Sounding;
        Sounding = energy > 0 && ears.LoudestSplDb(earphone, energy / samples.Length) > SilenceDbSpl;
        if (!Sounding && !wasSounding && _aftermath == 0)
        {
            return [];
        }

        var reading = Sounding ? _burst.Add(samples) : wasSounding ? _burst.End() : null;
        _aftermath = Sounding ? HopsOfAftermath : _aftermath - 1;
        if (_hops++ % 2 == 0)
        {
            _splatter.Analyse();
        }

        var heard = new List<(double, Ear)>();
        if (reading is { } tone)
        {
            heard.Add(Sensation(tone.FrequencyHz, tone.MeanSquare, tone.DurationMs));
        }

        if (reading is not null || _aftermath == 0)
        {
            heard.AddRange(_splatter.Spread().Select(spread => Sensation(spread.Hertz, spread.MeanSquare, _splatter.WindowMs)));
        }

        if (_aftermath == 0)
        {
            _splatter.Clear();
            _hops = 0;
        }

        return heard;
    }

    private (double SensationDb, Ear HeardBy) Sensation(double hertz, double meanSquare, double durationMs)
    {
        var lost = Math.Max(0, 10 * Math.Log10(IntegrationMs / durationMs));
        return ears.Hear(earphone, hertz, ears.SplDb(earphone, hertz, meanSquare) - lost, room);
    }
}
