namespace TeleHearing.Audiology.Signals;

/// <summary>A sound whose level changes without a gap: steps of a masker, or of a level turned by hand.</summary>
/// <remarks>
/// The sound is made once, at the highest level it may reach, and the track only lowers it; so no change can go over what was allowed or past digital full scale.
/// A change glides along a raised cosine in decibels, from whatever the level is at its frame, so that neither the samples nor the level ever jump. A glide takes <see cref="PulsePattern.RampMs"/> at least;
/// upwards it takes as much longer as keeps the rise below <see cref="FastestRiseDbPerSecond"/>. A track is never changed: <see cref="ChangeAt"/> makes one that is the same, sample by sample, before the frame
/// of the change. A player may therefore take the new track in place of the old one at any moment before that frame.
/// </remarks>
public sealed class LevelTrack : IStimulus
{
    /// <summary>Lowest level under the sound's own, dB. A design limit: 32-bit samples resolve about 150 dB.</summary>
    public const double LowestDb = -150;

    /// <summary>The level never rises faster than this, dB/s. A design choice: a step of 5 dB up takes 40 ms, one of 20 dB 157 ms, long enough not to startle.</summary>
    public const double FastestRiseDbPerSecond = 200;

    private readonly IStimulus _sound;
    private readonly int _sampleRateHz;
    private readonly Glide[] _glides;

    /// <summary>Begins a track.</summary>
    /// <param name="sound">The sound at the highest level it may reach.</param>
    /// <param name="levelDb">Level at the start, dB under the sound's own; <see cref="LowestDb"/> to 0.</param>
    /// <param name="sampleRateHz">Sample rate of the sound in Hz.</param>
    /// <exception cref="ArgumentOutOfRangeException">The level or the sample rate is outside its range or not a number.</exception>
    public LevelTrack(IStimulus sound, double levelDb, int sampleRateHz)
        : this(sound, sampleRateHz, [new Glide(0, Checked(levelDb), levelDb, 0)])
    {
        ArgumentNullException.ThrowIfNull(sound);
        ArgumentOutOfRangeException.ThrowIfLessThan(sampleRateHz, StimulusSpec.LowestSampleRateHz);
    }

    private LevelTrack(IStimulus sound, int sampleRateHz, Glide[] glides) => (_sound, _sampleRateHz, _glides) = (sound, sampleRateHz, glides);

    /// <inheritdoc />
    public long TotalFrames => _sound.TotalFrames;

    /// <summary>The level at a frame, dB under the sound's own.</summary>
    public double LevelDbAt(long frame) => _glides[At(frame)].LevelDb(frame);

    /// <summary>The frame at which the level is what the last change asked for.</summary>
    public long SettledFrame => _glides[^1].Start + _glides[^1].Frames;

    /// <summary>The same track with one change more.</summary>
    /// <param name="frame">Frame at which the level begins to change; not before that of the last change.</param>
    /// <param name="levelDb">Level to reach, dB under the sound's own; <see cref="LowestDb"/> to 0.</param>
    /// <exception cref="ArgumentOutOfRangeException">The level is outside its range or not a number, or the frame lies before the last change.</exception>
    public LevelTrack ChangeAt(long frame, double levelDb)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(frame, _glides[^1].Start);
        var from = LevelDbAt(frame);
        return new LevelTrack(_sound, _sampleRateHz, [.. _glides, new Glide(frame, from, Checked(levelDb), FramesOf(levelDb - from))]);
    }

    /// <inheritdoc />
    public void Render(long startFrame, Span<float> mono)
    {
        _sound.Render(startFrame, mono);
        for (var place = 0; place < mono.Length;)
        {
            var frame = startFrame + place;
            var index = At(frame);
            var until = index + 1 < _glides.Length ? _glides[index + 1].Start : long.MaxValue;
            var length = (int)Math.Min(until - frame, mono.Length - place);
            _glides[index].Apply(frame, mono.Slice(place, length));
            place += length;
        }
    }

    private static double Checked(double levelDb) => levelDb is >= LowestDb and <= 0
        ? levelDb
        : throw new ArgumentOutOfRangeException(nameof(levelDb), levelDb, $"A level must be {LowestDb} to 0 dB under the sound's own.");

    /// <summary>The steepest place of a raised cosine is pi / 2 times its mean slope.</summary>
    private long FramesOf(double changeDb) => changeDb == 0 ? 0 : (long)Math.Ceiling(
        _sampleRateHz * Math.Max(PulsePattern.RampMs / 1000, Math.PI / 2 * changeDb / FastestRiseDbPerSecond));

    /// <summary>Which glide holds at a frame: the last one that has begun.</summary>
    private int At(long frame)
    {
        var index = _glides.Length - 1;
        while (index > 0 && _glides[index].Start > frame)
        {
            index--;
        }

        return index;
    }

    /// <summary>From one level to another, and held there.</summary>
    private readonly record struct Glide(long Start, double FromDb, double ToDb, long Frames)
    {
        public double LevelDb(long frame) =>
            frame >= Start + Frames ? ToDb
            : frame <= Start ? FromDb
            : FromDb + ((ToDb - FromDb) * 0.5 * (1 - Math.Cos(Math.PI * (frame - Start) / Frames)));

        public void Apply(long frame, Span<float> mono)
        {
            var gliding = (int)Math.Clamp(Start + Frames - frame, 0, mono.Length);
            for (var i = 0; i < gliding; i++)
            {
                mono[i] = (float)(mono[i] * Gain(LevelDb(frame + i)));
            }

            // At its own level the sound passes untouched.
            if (ToDb != 0)
            {
                var gain = Gain(ToDb);
                foreach (ref var sample in mono[gliding..])
                {
                    sample = (float)(sample * gain);
                }
            }
        }

        private static double Gain(double levelDb) => Math.Pow(10, levelDb / 20);
    }
}
