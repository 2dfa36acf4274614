using System.Globalization;

namespace TeleHearing.Site.Agent.Audio.Pulse;

/// <summary>Looks after one open stream on a thread of its own: whether its device is still the same, fit, at full volume, and free of other programs.</summary>
/// <remarks>It looks whenever the server says that something changed, and <see cref="Interval"/> after the last look at the latest.</remarks>
internal sealed class PulseWatch : IDisposable
{
    /// <summary>Longest time between two looks.</summary>
    public static readonly TimeSpan Interval = TimeSpan.FromMilliseconds(250);
    private readonly PulseConnection _connection;
    private readonly PulseStream _stream;
    private readonly AutoResetEvent _changed = new(initialState: false);
    private readonly Thread _thread;
    private volatile bool _stopping;
    private DeviceFault? _fault;

    /// <summary>Looks once, and from then on until disposed.</summary>
    public PulseWatch(PulseConnection connection, PulseStream stream)
    {
        _connection = connection;
        _stream = stream;
        LookOnce();
        connection.Changed += Wake;
        _thread = new Thread(Run) { IsBackground = true, Name = $"watch of {stream.Device.State.Name}" };
        _thread.Start();
    }

    /// <summary>What is wrong just now. Once it is lasting it stays.</summary>
    public DeviceFault? Fault => Volatile.Read(ref _fault);

    /// <summary>Makes a fault seen elsewhere the standing one.</summary>
    public DeviceFault Fail(DeviceFault fault)
    {
        Volatile.Write(ref _fault, fault);
        return fault;
    }

    /// <summary>Why the stream ended, as far as can be told.</summary>
    public DeviceFault Ended() => _connection.IsLost
        ? Lasting("The sound server of this machine has ended.", "See that the sound server runs, then start again.")
        : Gone();

    public void Dispose()
    {
        if (_stopping)
        {
            return;
        }

        _stopping = true;
        _connection.Changed -= Wake;
        _changed.Set();
        _thread.Join();
        _changed.Dispose();
    }

    private void Wake() => _changed.Set();

    private void Run()
    {
        while (!_stopping && Fault is not { Kind: DeviceFaultKind.Lasting })
        {
            _changed.WaitOne(Interval);
            if (!_stopping)
            {
                LookOnce();
            }
        }
    }

    private void LookOnce()
    {
        DeviceFault? found;
        try
        {
            found = Look();
        }
        catch (DeviceFaultException fault)
        {
            found = fault.Fault;
        }

        if (Fault is not { Kind: DeviceFaultKind.Lasting })
        {
            Volatile.Write(ref _fault, found);
        }
    }

    private DeviceFault? Look()
    {
        var opened = _stream.Device;
        var direction = opened.State.Direction;
        var devices = direction == SoundDirection.Output ? _connection.Sinks() : _connection.Sources();
        if (devices.FirstOrDefault(device => device.Index == opened.Index) is not { } now || now.State.Name != opened.State.Name)
        {
            return Gone();
        }

        if (_stream.WasMoved || now.IsUnplugged || now.State.Port != opened.State.Port)
        {
            return Lasting($"Something else was plugged into \"{opened.State.Description}\", or it was unplugged.", "Plug the kit's own device back in, then start again.");
        }

        return DeviceRules.Unfit(now.State) ?? DeviceRules.Mixer(now.State) ?? Users(direction, now);
    }

    /// <summary>The stream has a volume of its own in the server, and other programs may play on the same device.</summary>
    private DeviceFault? Users(SoundDirection direction, PulseDevice device)
    {
        var own = _stream.Index;
        foreach (var user in _connection.Users(direction).Where(user => user.Device == device.Index))
        {
            if (user.Index == own)
            {
                if (user.IsMuted || user.VolumesPercent.Any(volume => volume != 100))
                {
                    var volume = user.IsMuted ? 0 : user.VolumesPercent.First(volume => volume != 100);
                    return Mendable(DeviceRules.VolumeSentence("The sound of this program", volume), "Set this program's own volume to 100 % in the sound settings of this machine.");
                }
            }
            else if (direction == SoundDirection.Output && !user.IsPaused)
            {
                return Mendable(
                    string.Create(CultureInfo.InvariantCulture, $"Another program plays through \"{device.State.Description}\" ({user.Name})."),
                    "Close that program, or give it another sound output.");
            }
        }

        return null;
    }

    private DeviceFault Gone() => Lasting($"\"{_stream.Device.State.Description}\" is gone: it was unplugged or taken away.", "Plug it in again, then start again.");

    private static DeviceFault Lasting(string sentence, string mend) => new(DeviceFaultKind.Lasting, sentence, mend);

    private static DeviceFault Mendable(string sentence, string mend) => new(DeviceFaultKind.Mendable, sentence, mend);
}
