using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Simulation;

/// <summary>What a test may spoil between the level chain and the earphones.</summary>
internal sealed record Fault
{
    public double AddedDb { get; init; }

    public double FrequencyFactor { get; init; } = 1;

    public bool SwapChannels { get; init; }

    public bool NoRamps { get; init; }
}

/// <summary>A small kit in memory: level chain, synthesis, virtual room and virtual listener, driven block by block.</summary>
internal sealed class Rig
{
    public const int SampleRateHz = 48_000;
    public const double SplAtFullScaleDb = 140;
    public const double SilenceBeforeMs = 450;
    public const double SilenceAfterMs = 600;

    private readonly VirtualListener _listener;
    private readonly VirtualRoom _room;
    private readonly CalibrationRecord _record;
    private readonly Fault _fault;
    private readonly int _blockFrames;
    private readonly List<ListenerPress> _presses = [];
    private long _frame;

    public Rig(
        IReadOnlyList<ListenerThreshold> rows,
        int seed = 1,
        TransducerKind kind = TransducerKind.Insert,
        Coupler coupler = Coupler.Iec60318Part4,
        Fault? fault = null,
        Func<VirtualListenerSettings, VirtualListenerSettings>? with = null,
        VirtualRoom? room = null,
        int blockFrames = 480)
    {
        var settings = new VirtualListenerSettings(rows, kind, coupler, EarphoneOutput.Flat(SplAtFullScaleDb), seed);
        _listener = new VirtualListener(with is null ? settings : with(settings));
        _room = room ?? VirtualRoom.Quiet(SampleRateHz, seed: 7);
        _record = CalibrationRecords.Flat(kind, coupler, SplAtFullScaleDb);
        _fault = fault ?? new Fault();
        _blockFrames = blockFrames;
    }

    public IReadOnlyList<ListenerPress> Presses => _presses;

    public VirtualListener Listener => _listener;

    public long Frame => _frame;

    /// <summary>Plays one tone and says whether a press came inside the response window.</summary>
    public bool Present(Ear ear, AudiometricFrequency frequency, HearingLevel level, double durationMs = 300, ToneShape shape = ToneShape.Steady)
    {
        Silence(SilenceBeforeMs);
        var result = Assert.IsType<LevelResult.Playable>(LevelChain.Resolve(_record, ear, frequency, level));
        var amplitude = Math.Min(1, result.PeakAmplitude * Math.Pow(10, _fault.AddedDb / 20));
        var tone = new ToneSynthesizer(new ToneSpec(frequency.Hertz * _fault.FrequencyFactor, amplitude, shape, durationMs, SampleRateHz));
        var before = _presses.Count;
        Play(_fault.SwapChannels ? Other(ear) : ear, tone);
        Silence(SilenceAfterMs);
        return _presses.Count > before;
    }

    /// <summary>Runs a whole search.</summary>
    public ThresholdOutcome Search(Ear ear, AudiometricFrequency frequency, SearchSettings settings, int seed, ToneShape shape = ToneShape.Steady)
    {
        var search = new ThresholdSearch(settings, new Random(seed));
        while (true)
        {
            switch (search.Next)
            {
                case SearchMove.PresentTone tone:
                    search.Record(Present(ear, frequency, tone.Level, shape: shape) ? TrialAnswer.Heard : TrialAnswer.NotHeard);
                    break;
                case SearchMove.PresentCatch:
                    var before = _presses.Count;
                    Silence(1500);
                    search.Record(_presses.Count > before ? TrialAnswer.Heard : TrialAnswer.NotHeard);
                    break;
                case SearchMove.Finished finished:
                    return finished.Outcome;
            }
        }
    }

    public void Silence(double milliseconds) => Feed((long)(milliseconds * SampleRateHz / 1000), Ear.Left, null);

    private void Play(Ear ear, ToneSynthesizer tone) => Feed(tone.TotalFrames, ear, tone);

    private void Feed(long frames, Ear ear, ToneSynthesizer? tone)
    {
        var mono = new float[_blockFrames];
        var stereo = new float[2 * _blockFrames];
        var room = new float[_blockFrames];
        for (long done = 0; done < frames;)
        {
            var count = (int)Math.Min(_blockFrames, frames - done);
            Array.Clear(stereo);
            if (tone is not null)
            {
                tone.Render(done, mono.AsSpan(0, count));
                for (var i = 0; i < count; i++)
                {
                    stereo[(2 * i) + (ear == Ear.Left ? 0 : 1)] = _fault.NoRamps ? WithoutRamp(tone.Spec, done + i) : mono[i];
                }
            }

            _room.Fill(room.AsSpan(0, count));
            _presses.AddRange(_listener.Hear(stereo.AsSpan(0, 2 * count), room.AsSpan(0, count)));
            done += count;
            _frame += count;
        }
    }

    private static float WithoutRamp(ToneSpec spec, long frame) =>
        (float)(spec.PeakAmplitude * Math.Sin((Math.Tau * spec.FrequencyHz * frame / SampleRateHz) + 1));

    private static Ear Other(Ear ear) => ear == Ear.Left ? Ear.Right : Ear.Left;
}
