using TeleHearing.Audiology;
using TeleHearing.Audiology.Simulation;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Audio;

/// <summary>A sound card with a person and a room behind it: what is played reaches the virtual listener, whose presses reach the response button, and the room reaches both listener and microphone.</summary>
/// <remarks>
/// Used by the audio loop alone. At real-time pace a block takes its time on the machine's monotonic clock; when the machine was held up, the lost
/// time is not played faster afterwards, as a real device would not.
/// </remarks>
internal sealed class SimulatedSoundCard(VirtualListener? listener, VirtualRoom room, Pace pace, TimeProvider time) : IAudioOutput, IAudioInput, IPressSource
{
    /// <summary>Sensitivity of the simulated microphone: sound pressure level at RMS 1.0, dB re 20 µPa.</summary>
    public const double MicrophoneSplAtRmsOneDb = 120;

    /// <summary>Held up by more than this, the card goes on from where it is.</summary>
    private static readonly TimeSpan _slack = TimeSpan.FromMilliseconds(50);
    private readonly float[] _room = new float[AudioFormat.BlockFrames];
    private readonly List<ButtonPress> _presses = [];
    private long _started = time.GetTimestamp();
    private long _framesSinceStart;
    private bool _unread;
    private Worn? _worn = Worn.Earphones;
    private Worn? _heardWith = Worn.Earphones;

    /// <summary>The side on which the virtual listener last heard a tone.</summary>
    public Ear? LastHeardSide => listener?.LastHeardSide;

    public string DeviceName => "Simulated sound card";

    public int SampleRateHz => AudioFormat.SampleRateHz;

    public double SplAtRmsOneDb => MicrophoneSplAtRmsOneDb;

    /// <summary>The simulated person puts other gear on, from the next block on. Called from any thread. While a change is under way the old gear stays on.</summary>
    public void Wear(Worn? worn) => Volatile.Write(ref _worn, worn ?? Volatile.Read(ref _worn));

    public async ValueTask WriteAsync(ReadOnlyMemory<float> stereo, CancellationToken cancellationToken)
    {
        room.Fill(_room);
        _unread = true;
        if (listener is not null)
        {
            if (Volatile.Read(ref _worn) is { } worn && worn != _heardWith)
            {
                listener.Wear(worn.Ear is { } ear ? new VibratorWorn(worn.Route, ear) : null);
                _heardWith = worn;
            }

            foreach (var press in listener.Hear(stereo.Span, _room))
            {
                _presses.Add(new ButtonPress(press.DownFrame, press.UpFrame));
            }
        }

        if (pace == Pace.Realtime)
        {
            await KeepPaceAsync(cancellationToken);
        }
    }

    public bool TryRead(Span<float> mono)
    {
        if (!_unread)
        {
            return false;
        }

        _unread = false;
        _room.CopyTo(mono);
        return true;
    }

    public void Collect(List<ButtonPress> presses)
    {
        presses.AddRange(_presses);
        _presses.Clear();
    }

    public ValueTask DisposeAsync() => ValueTask.CompletedTask;

    private async Task KeepPaceAsync(CancellationToken cancellationToken)
    {
        _framesSinceStart += AudioFormat.BlockFrames;
        var ahead = TimeSpan.FromMilliseconds(AudioFormat.MillisecondsOf(_framesSinceStart)) - time.GetElapsedTime(_started);
        if (ahead > TimeSpan.Zero)
        {
            await Task.Delay(ahead, time, cancellationToken);
        }
        else if (-ahead > _slack)
        {
            (_started, _framesSinceStart) = (time.GetTimestamp(), 0);
        }
    }
}
