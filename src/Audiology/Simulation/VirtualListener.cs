namespace TeleHearing.Audiology.Simulation;

/// <summary>A simulated person who listens to the samples that were truly sent to the earphones and presses a button.</summary>
/// <remarks>
/// <para>It measures level and frequency of each channel by itself and shares neither synthesis, level chain nor filter bank with the kit, so that a wrong
/// level, frequency, side or ramp changes what it hears, as it would change what a person hears. Channel 0 is the left earphone, channel 1 the right.</para>
/// <para>A noise in an earphone is taken for a masker: it is not answered, and raises thresholds through both routes as its samples tell (<see cref="Maskers"/>).</para>
/// <para>The same seed and samples give the same presses however the samples are cut into blocks. Not safe for several threads at once.</para>
/// </remarks>
public sealed class VirtualListener
{
    private const int HopMs = 10;
    private const int HopsOfSilenceBetweenPresentations = 40;

    private readonly VirtualListenerSettings _settings;
    private readonly TwoEars _ears;
    private readonly Random _random;
    private readonly PsychometricFunction _psychometric;
    private readonly RoomAtTheEar _room;
    private readonly EarphoneListening _leftEarphone;
    private readonly EarphoneListening _rightEarphone;
    private readonly ResponseButton _button;
    private readonly float[] _left;
    private readonly float[] _right;
    private readonly float[] _roomHop;
    private Presentation? _presentation;
    private int _silentHops;
    private int _filled;
    private long _frame;

    /// <summary>Seats a person.</summary>
    /// <exception cref="ArgumentException">A setting cannot be used: an ear without thresholds, a coupler that does not belong to the earphone, a rate outside its range.</exception>
    public VirtualListener(VirtualListenerSettings settings)
    {
        ArgumentNullException.ThrowIfNull(settings);
        VirtualListenerRules.ThrowIfUnusable(settings);
        _settings = settings;
        _random = new Random(settings.Seed);
        _psychometric = new PsychometricFunction(0, settings.SlopeSdDb);
        _room = new RoomAtTheEar(settings.TransducerKind, settings.SampleRateHz, settings.RoomSplAtRmsOneDb);
        _ears = new TwoEars(settings);
        var maskers = new Maskers(_ears, settings.SampleRateHz);
        var hopFrames = settings.SampleRateHz * HopMs / 1000;
        _leftEarphone = new EarphoneListening(Ear.Left, _ears, _room, maskers, settings.SampleRateHz, hopFrames);
        _rightEarphone = new EarphoneListening(Ear.Right, _ears, _room, maskers, settings.SampleRateHz, hopFrames);
        _button = new ResponseButton(settings, new Random(unchecked(settings.Seed + 1)));
        _left = new float[hopFrames];
        _right = new float[hopFrames];
        _roomHop = new float[hopFrames];
    }

    /// <summary>The ear that heard the last presentation; absent when it was not heard, or not yet.</summary>
    public Ear? LastHeardSide { get; private set; }

    /// <summary>Puts a bone vibrator on, or earphones on both ears (absent). What sounds at that moment is taken for the new gear from its next stretch on.</summary>
    /// <exception cref="ArgumentException">This person's gear has no such vibrator.</exception>
    public void Wear(VibratorWorn? vibrator) => _ears.Wear(vibrator);

    /// <summary>Listens to the next block.</summary>
    /// <param name="stereo">Samples sent to the earphones, interleaved, left first. Beyond full scale they are clipped, as a converter does; what is no number is silence.</param>
    /// <param name="roomMono">Sound in the room over the same time.</param>
    /// <returns>The presses whose button goes down inside this block, in order.</returns>
    /// <exception cref="ArgumentException">The two blocks differ in length.</exception>
    public IReadOnlyList<ListenerPress> Hear(ReadOnlySpan<float> stereo, ReadOnlySpan<float> roomMono)
    {
        if (stereo.Length != 2 * roomMono.Length)
        {
            throw new ArgumentException($"The earphone block has {stereo.Length / 2.0} frames, the room block {roomMono.Length}.", nameof(roomMono));
        }

        while (roomMono.Length > 0)
        {
            var frames = Math.Min(roomMono.Length, _left.Length - _filled);
            for (var i = 0; i < frames; i++)
            {
                _left[_filled + i] = Converted(stereo[2 * i]);
                _right[_filled + i] = Converted(stereo[(2 * i) + 1]);
            }

            roomMono[..frames].CopyTo(_roomHop.AsSpan(_filled));
            stereo = stereo[(2 * frames)..];
            roomMono = roomMono[frames..];
            _filled += frames;
            _frame += frames;
            if (_filled == _left.Length)
            {
                _filled = 0;
                HearHop();
            }
        }

        return _button.Until(_frame);
    }

    private void HearHop()
    {
        _room.Add(_roomHop);
        var noises = Noises();
        var fromLeft = _leftEarphone.Add(_left);
        var fromRight = _rightEarphone.Add(_right);
        FollowPresentations(_leftEarphone.Sounding || _rightEarphone.Sounding, newNoise: Noises() > noises);
        if (_presentation is not { Heard: false } presentation)
        {
            return;
        }

        foreach (var (sensationDb, heardBy) in fromLeft.Concat(fromRight).OrderByDescending(sound => sound.SensationDb))
        {
            if (presentation.IsHeardNow(sensationDb, _psychometric))
            {
                LastHeardSide = heardBy;
                _button.Plan(presentation.Response(_frame));
            }
        }
    }

    private int Noises() => (_leftEarphone.IsNoise ? 1 : 0) + (_rightEarphone.IsNoise ? 1 : 0);

    private void FollowPresentations(bool sounding, bool newNoise)
    {
        if (!sounding)
        {
            // what began turned out to be a noise: no presentation after all
            if (++_silentHops >= HopsOfSilenceBetweenPresentations || (newNoise && _presentation is { Heard: false }))
            {
                _presentation = null;
            }

            return;
        }

        _silentHops = 0;
        if (_presentation is null)
        {
            _presentation = new Presentation(_frame - _left.Length, _settings, _random);
            LastHeardSide = null;
        }
    }

    private static float Converted(float sample) => float.IsNaN(sample) ? 0 : Math.Clamp(sample, -1f, 1f);
}
