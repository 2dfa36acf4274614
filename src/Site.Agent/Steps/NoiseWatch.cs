using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Noise;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Watches the room in the bands that bear on one frequency, during each presentation.</summary>
/// <remarks>
/// One for a whole search, so that its filters are settled when a tone begins. Heard on the audio loop, read on the step loop when the presentation
/// is over; never both at once. The reading is the highest of consecutive averages of about <see cref="WindowMs"/>: short enough for a slammed door to
/// show, long enough for a steady low band not to be read several decibels too high by chance (design choice).
/// </remarks>
internal sealed class NoiseWatch(AudiometricFrequency frequency, TransducerKind kind, double splAtRmsOneDb) : IRoomListener
{
    /// <summary>Averaging time in ms.</summary>
    public const double WindowMs = 600;

    /// <summary>Lowest test tone assumed for the limits, unless a lower one is tested: 250 Hz, as in conventional audiometry (ISO 8253-1:2010, Table 2).</summary>
    public const int UsualLowestToneHz = 250;

    /// <summary>The microphone must have been heard for at least this part of the tone (design; a clock of its own costs far less).</summary>
    private const double LeastHeard = 0.75;

    private readonly ThirdOctaveBank _bank = new(AudioFormat.SampleRateHz, RoomJudgement.BandsThatMatter(frequency));
    private readonly Dictionary<double, double> _highest = [];
    private InputFaults _faults;
    private long _windowFrames;
    private long _bodyFrames;
    private long _heardFrames;
    private bool _anySound;
    private bool _measuring;

    /// <summary>Which column of limits holds for a tone.</summary>
    public static int LowestToneFor(AudiometricFrequency frequency) => Math.Min(UsualLowestToneHz, frequency.Hertz);

    /// <summary>Why the microphone itself cannot be trusted, after which nothing more may be presented.</summary>
    public string? Broken =>
        _faults.NonFinite > 0 ? _faults.Sentence()
        : _heardFrames > 0 && !_anySound ? "The measurement microphone gives dead silence, which no room is."
        : _heardFrames < _bodyFrames * LeastHeard ? "The measurement microphone was not heard during the tone."
        : null;

    /// <summary>Why the presentation does not count, whatever its levels; absent when they are a measurement.</summary>
    public string? Trouble => Broken ?? (_faults.Any ? _faults.Sentence() : null);

    /// <summary>Prepares for a presentation whose tone has this many frames.</summary>
    public void Expect(long bodyFrames)
    {
        _bodyFrames = bodyFrames;
        _windowFrames = bodyFrames / Math.Max(1, (long)Math.Round(AudioFormat.MillisecondsOf(bodyFrames) / WindowMs));
        (_measuring, _anySound, _heardFrames, _faults) = (false, false, 0, default);
        _highest.Clear();
    }

    /// <summary>Lets the filters settle on what was heard before.</summary>
    public void Settle(ReadOnlySpan<float> heardBefore) => _bank.Process(heardBefore);

    public void Hear(long framesSinceOnset, ReadOnlySpan<float> mono)
    {
        var end = framesSinceOnset + mono.Length;
        if (!_measuring && end > 0 && framesSinceOnset < _bodyFrames)
        {
            _measuring = true;
            _bank.ResetAverage();
        }

        _bank.Process(mono);
        if (_measuring)
        {
            _anySound |= mono.ContainsAnyExcept(0f);
            _heardFrames += mono.Length;
            if (_bank.FramesAveraged >= _windowFrames || end >= _bodyFrames)
            {
                Keep();
                _measuring = end < _bodyFrames;
            }
        }
    }

    /// <summary>What was read, against the limits for a level.</summary>
    public IReadOnlyList<TrialNoise> Judge(HearingLevel level) =>
        [.. _highest.OrderBy(band => band.Key).Select(band => new TrialNoise(band.Key, Math.Round(band.Value, 1), RoomJudgement.LimitAt(kind, LowestToneFor(frequency), band.Key, level)))];

    private void Keep()
    {
        _faults += _bank.Faults;

        // a short rest at the end of a tone would be too noisy a reading to stand alone
        if (_bank.FramesAveraged * 2 >= _windowFrames)
        {
            foreach (var band in _bank.Levels(splAtRmsOneDb))
            {
                _highest[band.BandHz] = Math.Max(band.LevelDbSpl, _highest.GetValueOrDefault(band.BandHz, double.NegativeInfinity));
            }
        }

        _bank.ResetAverage();
    }
}
