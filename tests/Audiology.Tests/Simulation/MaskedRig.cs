using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Simulation;

/// <summary>A simulated person under supra-aural earphones, given tones and maskers as samples.</summary>
/// <remarks>Levels are worked out here by hand, so that the masker may be louder than a kit would ever play it.</remarks>
internal sealed class MaskedRig
{
    public const int SampleRateHz = 48_000;
    private const double SplAtFullScaleDb = 170;
    private const double ForceAtFullScaleDb = 150;
    private const int BlockFrames = 480;

    private readonly VirtualListener _listener;
    private readonly VirtualRoom _room = VirtualRoom.Quiet(SampleRateHz, seed: 7);
    private readonly TransducerKind _kind;
    private readonly Coupler _coupler;
    private int _noises;

    public MaskedRig(
        IReadOnlyList<ListenerThreshold> rows,
        double attenuationDb,
        int seed = 1,
        TransducerKind kind = TransducerKind.SupraAural,
        Coupler coupler = Coupler.Iec60318Part1,
        Func<VirtualListenerSettings, VirtualListenerSettings>? with = null)
    {
        (_kind, _coupler) = (kind, coupler);
        var settings = new VirtualListenerSettings(rows, kind, coupler, EarphoneOutput.Flat(SplAtFullScaleDb), seed)
        {
            SlopeSdDb = 0.01,
            VibratorOutput = EarphoneOutput.Flat(ForceAtFullScaleDb),
            InterauralAttenuationDb = new Dictionary<int, double> { [1000] = attenuationDb },
        };
        _listener = new VirtualListener(with is null ? settings : with(settings));
    }

    public VirtualListener Listener => _listener;

    /// <summary>A masker from 600 ms before the tone until 600 ms after it, the tone of 1 s, and silence after both. Counts the presses.</summary>
    /// <param name="ear">Ear of the tone.</param>
    /// <param name="hertz">Frequency of both.</param>
    /// <param name="levelDbHl">Level of the tone; absent for none.</param>
    /// <param name="maskerDbEm">Level of the masker; absent for none.</param>
    /// <param name="sameEar">The masker is in the ear of the tone instead of the other.</param>
    public int Present(Ear ear, int hertz, double? levelDbHl, double? maskerDbEm, bool sameEar = false)
    {
        var frequency = AudiometricFrequency.FromHertz(hertz);
        var zero = ReferenceThresholds.Get(_kind, _coupler, frequency);
        var toneMs = sameEar ? 1500.0 : 1000.0;
        var tone = levelDbHl is { } level
            ? Stimulus.Make(new ToneSpec(hertz, Math.Pow(10, (level + zero - SplAtFullScaleDb) / 20), ToneShape.Steady, toneMs, SampleRateHz))
            : null;
        var masker = maskerDbEm is { } em ? Masker(hertz, em, 600 + toneMs + 600) : null;
        return Feed(ear, tone, 600, masker, sameEar, 600 + toneMs + 1400);
    }

    /// <summary>A tone from the vibrator, which is worn on the channel of that ear, and a masker in the earphone of the other.</summary>
    public int PresentBone(ConductionRoute route, Ear ear, int hertz, double levelDbHl, double? maskerDbEm)
    {
        _listener.Wear(new VibratorWorn(route, ear));
        var zero = ReferenceThresholds.Find(TransducerKind.BoneVibrator, Coupler.Iec60318Part6, route, AudiometricFrequency.FromHertz(hertz))!.RetsplDb;
        var tone = Stimulus.Make(new ToneSpec(hertz, Math.Pow(10, (levelDbHl + zero - ForceAtFullScaleDb) / 20), ToneShape.Steady, 1000, SampleRateHz));
        return Feed(ear, tone, 600, maskerDbEm is { } em ? Masker(hertz, em, 2200) : null, false, 3000);
    }

    private IStimulus Masker(int hertz, double dbEm, double milliseconds)
    {
        var frequency = AudiometricFrequency.FromHertz(hertz);
        MaskingCorrections.TryGet(frequency, out var correction);
        var splDb = dbEm + ReferenceThresholds.Get(_kind, _coupler, frequency) + correction;
        return Stimulus.Make(new NarrowBandNoiseSpec(frequency, Math.Pow(10, (splDb - SplAtFullScaleDb) / 20) / Math.Sqrt(2), ++_noises, ToneShape.Steady, milliseconds, SampleRateHz));
    }

    private int Feed(Ear ear, IStimulus? tone, double toneFromMs, IStimulus? masker, bool sameEar, double wholeMs)
    {
        var presses = 0;
        var (left, right, mono, room) = (new float[BlockFrames], new float[BlockFrames], new float[BlockFrames], new float[BlockFrames]);
        var stereo = new float[2 * BlockFrames];
        for (long start = 0; start < wholeMs * SampleRateHz / 1000; start += BlockFrames)
        {
            Array.Clear(left);
            Array.Clear(right);
            Add(tone, start - (long)(toneFromMs * SampleRateHz / 1000), ear == Ear.Left ? left : right);
            Add(masker, start, ear == Ear.Left == sameEar ? left : right);
            for (var i = 0; i < BlockFrames; i++)
            {
                (stereo[2 * i], stereo[(2 * i) + 1]) = (left[i], right[i]);
            }

            _room.Fill(room);
            presses += _listener.Hear(stereo, room).Count;
        }

        return presses;

        void Add(IStimulus? sound, long from, float[] channel)
        {
            if (sound is null)
            {
                return;
            }

            sound.Render(from, mono);
            for (var i = 0; i < BlockFrames; i++)
            {
                channel[i] += mono[i];
            }
        }
    }
}
