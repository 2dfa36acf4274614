using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Noise;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Listens to the room and says what it lets a test prove.</summary>
internal static class RoomMeasurement
{
    /// <summary>Time for the filters of the lowest bands to settle, ms.</summary>
    private const double SettlingMs = 1000;

    public static async Task<StepConclusion> RunAsync(StepContext context, MeasureRoomStep request)
    {
        if (context.Engine.Microphone is not { } microphone || context.Ceilings.Gear.Kit.Microphone is not { } described)
        {
            return StepConclusion.Failed(RefusalCodes.SoundFault, "This kit has no measurement microphone, so it can say nothing about the room. Judge the room otherwise and say so in a note.");
        }

        var listener = new RoomListener(microphone.SplAtRmsOneDb);
        var result = await context.Engine.PresentAsync(
            new Presentation
            {
                LeadFrames = AudioFormat.FramesOf(SettlingMs),
                BodyFrames = AudioFormat.FramesOf(request.DurationSeconds * 1000),
                TailFrames = 0,
                NeedsLease = false,
                Room = listener,
            },
            context.Token);
        if (result.End != PresentationEnd.Complete)
        {
            throw new StepBrokenException(context.Conclude(result));
        }

        var bands = listener.Average();
        return StepConclusion.Completed(new RoomResult(bands, listener.Highest(), Provable(bands, described, context.Ceilings.Gear), request.DurationSeconds));
    }

    /// <summary>From 250 Hz up, the limits for a lowest tone of 250 Hz; 125 Hz by the stricter ones that hold when it is tested.</summary>
    private static IReadOnlyList<LowestProvableLevel> Provable(IReadOnlyList<BandLevel> bands, MicrophoneDescription microphone, Gear gear) =>
    [
        .. AudiometricFrequency.All
            .GroupBy(NoiseWatch.LowestToneFor)
            .SelectMany(group => RoomJudgement.LowestProvable(bands, microphone.SelfNoise ?? [], gear.Kit.TransducerKind, [.. group]))
            .OrderBy(bound => bound.FrequencyHz),
    ];

    /// <summary>Averages the whole time and keeps the highest second of every band. Heard on the audio loop, read afterwards.</summary>
    private sealed class RoomListener(double splAtRmsOneDb) : IRoomListener
    {
        private readonly ThirdOctaveBank _bank = new(AudioFormat.SampleRateHz, ThirdOctaveBands.Nominal);
        private readonly List<IReadOnlyList<BandLevel>> _seconds = [];
        private bool _settled;

        public void Hear(long framesSinceOnset, ReadOnlySpan<float> mono)
        {
            if (!_settled && framesSinceOnset >= 0)
            {
                _settled = true;
                _bank.ResetAverage();
            }

            _bank.Process(mono);
            if (_settled && _bank.FramesAveraged >= AudioFormat.SampleRateHz)
            {
                _seconds.Add(_bank.Levels(splAtRmsOneDb));
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
