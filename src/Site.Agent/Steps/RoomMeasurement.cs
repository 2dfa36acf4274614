using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Noise;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Listens to the room and says what it lets a test prove. Without a microphone and its record nothing is claimed, and the result says so.</summary>
internal static class RoomMeasurement
{
    /// <summary>Time for the filters of the lowest bands to settle, ms.</summary>
    private const double SettlingMs = 1000;

    public static async Task<StepConclusion> RunAsync(StepContext context, MeasureRoomStep request)
    {
        var gear = context.Ceilings.Gear;
        var (hearing, reason) = RoomHearing.Find(context.Engine.Microphone, gear);
        if (hearing is null)
        {
            return StepConclusion.Completed(new RoomResult([], [], [], request.DurationSeconds) { Criterion = request.Criterion, NotMeasured = reason });
        }

        if (NoiseLimits.Find(request.Criterion, NoiseLimits.ConditionOf(gear.Kit.TransducerKind), NoiseWatch.UsualLowestToneHz) is null)
        {
            return StepConclusion.Failed(RefusalCodes.Invalid, "These limits are not printed for the earphones of this kit. Measure against ISO 8253-1.");
        }

        var listener = new RoomListener(hearing.SplAtRmsOneDb, request.Criterion == NoiseCriterion.AnsiOctave);
        var result = await context.Engine.PresentAsync(
            new Presentation
            {
                LeadFrames = AudioFormat.FramesOf(SettlingMs),
                BodyFrames = AudioFormat.FramesOf(request.DurationSeconds * 1000),
                TailFrames = AudioFormat.FramesOf(Presentation.LastLookMs),
                NeedsLease = false,
                Room = listener,
            },
            context.Token);
        if (result.End != PresentationEnd.Complete)
        {
            throw new StepBrokenException(context.Conclude(result));
        }

        if ((listener.Trouble ?? listener.Missing(request.DurationSeconds)) is { } trouble)
        {
            return StepConclusion.Failed(RefusalCodes.SoundFault, $"{trouble} Nothing was measured. {RoomHearing.Mend}");
        }

        var bands = listener.Average();
        var provable = Provable(bands, hearing, gear.Kit.TransducerKind, request.Criterion);
        return StepConclusion.Completed(new RoomResult(bands, listener.Highest(), provable, request.DurationSeconds)
        {
            Criterion = request.Criterion,
            LowestProvableBone = gear.Kit.BoneVibrator is null ? null : [.. Provable(bands, hearing, TransducerKind.BoneVibrator, request.Criterion).Where(bound => BoneFrequencies.Tested.Any(tested => tested.Hertz == bound.FrequencyHz))],
        });
    }

    /// <summary>From 250 Hz up, the limits for a lowest tone of 250 Hz; 125 Hz by the stricter ones that hold when it is tested.</summary>
    private static IReadOnlyList<LowestProvableLevel> Provable(IReadOnlyList<BandLevel> bands, RoomHearing hearing, TransducerKind kind, NoiseCriterion criterion) =>
    [
        .. AudiometricFrequency.All
            .GroupBy(NoiseWatch.LowestToneFor)
            .SelectMany(group => NoiseLimits.Find(criterion, NoiseLimits.ConditionOf(kind), group.Key) is { } limits
                ? RoomJudgement.LowestProvable(bands, hearing.SelfNoise, limits, [.. group])
                : [])
            .OrderBy(bound => bound.FrequencyHz),
    ];

    /// <summary>Averages the whole time and keeps the highest second of every band. Heard on the audio loop, read afterwards.</summary>
    private sealed class RoomListener(double splAtRmsOneDb, bool octaves) : IRoomListener
    {
        // the octave of 8 kHz is made up of a third more than the third-octave limits ask for
        private readonly ThirdOctaveBank _bank = new(AudioFormat.SampleRateHz, octaves ? [.. ThirdOctaveBands.Nominal, 10_000] : ThirdOctaveBands.Nominal);
        private readonly List<IReadOnlyList<BandLevel>> _seconds = [];
        private InputFaults _faults;
        private bool _anySound;
        private bool _settled;

        /// <summary>Why the levels are no measurement.</summary>
        public string? Trouble =>
            _faults.Any ? _faults.Sentence()
            : _seconds.Count == 0 ? "The measurement microphone was not heard."
            : !_anySound ? "The measurement microphone gives dead silence, which no room is."
            : null;

        /// <summary>Why too little was heard of the time asked for; a microphone clock of its own costs the last second at most.</summary>
        public string? Missing(double seconds) => _seconds.Count >= Math.Floor(seconds) - 1
            ? null
            : string.Create(System.Globalization.CultureInfo.InvariantCulture, $"The measurement microphone was heard for {_seconds.Count} of {seconds:0} s only.");

        public void Hear(long framesSinceOnset, ReadOnlySpan<float> mono)
        {
            if (!_settled && framesSinceOnset >= 0)
            {
                _settled = true;
                _bank.ResetAverage();
            }

            _bank.Process(mono);
            _anySound |= _settled && mono.ContainsAnyExcept(0f);
            if (_settled && _bank.FramesAveraged >= AudioFormat.SampleRateHz)
            {
                _seconds.Add(_bank.Levels(splAtRmsOneDb));
                _faults += _bank.Faults;
                _bank.ResetAverage();
            }
        }

        public IReadOnlyList<BandLevel> Highest() => Fold(levels => levels.Max());

        /// <summary>Energy average over the seconds.</summary>
        public IReadOnlyList<BandLevel> Average() => Fold(levels => 10 * Math.Log10(levels.Average(level => Math.Pow(10, level / 10))));

        private IReadOnlyList<BandLevel> Fold(Func<IEnumerable<double>, double> fold) =>
            [.. _seconds.SelectMany(second => second).GroupBy(band => band.BandHz).Select(band => new BandLevel(band.Key, Math.Round(fold(band.Select(level => level.LevelDbSpl)), 1)))];
    }
}
