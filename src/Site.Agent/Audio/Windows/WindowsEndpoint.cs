using System.Runtime.InteropServices;
using System.Runtime.Versioning;
using NAudio.CoreAudioApi;

namespace TeleHearing.Site.Agent.Audio.Windows;

/// <summary>One endpoint of Windows, with its volume and mute watched four times a second.</summary>
[SupportedOSPlatform("windows")]
internal sealed class WindowsEndpoint : IDisposable
{
    /// <summary>What stands before the endpoint's id in the name a kit uses.</summary>
    public const string Prefix = "wasapi:";
    private static readonly TimeSpan _interval = TimeSpan.FromMilliseconds(250);
    private readonly ManualResetEventSlim _stop = new();
    private readonly SoundDirection _direction;
    private readonly Thread _thread;
    private DeviceFault? _fault;

    private WindowsEndpoint(MMDevice device, SoundDirection direction)
    {
        (Device, _direction, Name) = (device, direction, device.FriendlyName);
        _fault = Look();
        _thread = new Thread(Run) { IsBackground = true, Name = "watch of the sound endpoint" };
        _thread.Start();
    }

    public MMDevice Device { get; }

    public string Name { get; }

    /// <summary>What is wrong just now. Once it is lasting it stays.</summary>
    public DeviceFault? Fault => Volatile.Read(ref _fault);

    /// <summary>The active endpoint with this id or this friendly name.</summary>
    /// <exception cref="DeviceFaultException">There is none.</exception>
    public static WindowsEndpoint Find(string name, SoundDirection direction)
    {
        using var all = new MMDeviceEnumerator();
        var wanted = name[Prefix.Length..];
        var found = Active(all, direction).FirstOrDefault(device => device.ID == wanted || device.FriendlyName == wanted)
            ?? throw new DeviceFaultException(new DeviceFault(DeviceFaultKind.Lasting, $"There is no sound device \"{wanted}\" on this machine.", DeviceFault.PlugInOrCorrectTheName));
        return new WindowsEndpoint(found, direction);
    }

    /// <summary>All active endpoints. Rate and form are those of the shared mix; what an endpoint takes exclusively shows when it is opened.</summary>
    public static IEnumerable<ListedDevice> List()
    {
        using var all = new MMDeviceEnumerator();
        return
        [
            .. new[] { SoundDirection.Output, SoundDirection.Input }
                .SelectMany(direction => Active(all, direction).Select(device => new ListedDevice(Describe(device, direction), IsDefault: false))),
        ];
    }

    /// <summary>Makes a fault the standing one.</summary>
    public DeviceFault Fail(string sentence)
    {
        var fault = new DeviceFault(DeviceFaultKind.Lasting, sentence, "Unplug the device and plug it in again, then start again.");
        Volatile.Write(ref _fault, fault);
        return fault;
    }

    public void Dispose()
    {
        if (!_stop.IsSet)
        {
            _stop.Set();
            _thread.Join();
            Device.Dispose();
        }
    }

    private static IEnumerable<MMDevice> Active(MMDeviceEnumerator all, SoundDirection direction) =>
        all.EnumerateAudioEndPoints(direction == SoundDirection.Output ? DataFlow.Render : DataFlow.Capture, NAudio.CoreAudioApi.DeviceState.Active);

    private static DeviceState Describe(MMDevice device, SoundDirection direction)
    {
        using var client = device.CreateAudioClient();
        var mix = client.MixFormat;
        var volume = device.AudioEndpointVolume;
        var form = mix.BitsPerSample switch { 32 => SampleForm.Float32, 24 => SampleForm.Integer24, 16 => SampleForm.Integer16, _ => SampleForm.Other };
        return new DeviceState(
            Prefix + device.ID,
            device.FriendlyName,
            direction,
            mix.SampleRate,
            form,
            mix.Channels,
            mix.Channels == AudioFormat.Channels,
            [Math.Round(volume.MasterVolumeLevelScalar * 100, 2)],
            volume.Mute,
            Port: null);
    }

    private void Run()
    {
        while (!_stop.Wait(_interval))
        {
            var found = Look();
            if (Fault is not { Kind: DeviceFaultKind.Lasting })
            {
                Volatile.Write(ref _fault, found);
            }
        }
    }

    private DeviceFault? Look()
    {
        try
        {
            return Device.State == NAudio.CoreAudioApi.DeviceState.Active
                ? DeviceRules.Mixer(Describe(Device, _direction))
                : new DeviceFault(DeviceFaultKind.Lasting, $"\"{Name}\" is gone: it was unplugged or taken away.", "Plug it in again, then start again.");
        }
        catch (COMException fault)
        {
            return new DeviceFault(DeviceFaultKind.Lasting, $"\"{Name}\" does not answer any more ({fault.Message}).", "Plug it in again, then start again.");
        }
    }
}
