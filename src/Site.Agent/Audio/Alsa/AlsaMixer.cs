using System.Globalization;
using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Audio.Alsa;

/// <summary>Watches the mixer of a card of the kernel's sound system, four times a second, on a thread of its own.</summary>
/// <remarks>
/// Such a card has no volume of 100 % that would mean the same everywhere. So every control in the way of the sound must stand at its highest and be switched on,
/// as at calibration; one that leads a microphone into the earphone must be off.
/// </remarks>
internal sealed unsafe class AlsaMixer : IDisposable
{
    /// <summary>Channels a simple control can have (snd_mixer_selem_channel_id_t).</summary>
    private const int MostChannels = 32;
    private static readonly TimeSpan _interval = TimeSpan.FromMilliseconds(250);
    private readonly ManualResetEventSlim _stop = new();
    private readonly SoundDirection _direction;
    private readonly string _card;
    private readonly nint _mixer;
    private readonly Thread _thread;
    private DeviceFault? _fault;

    private AlsaMixer(nint mixer, string card, SoundDirection direction)
    {
        (_mixer, _card, _direction) = (mixer, card, direction);
        _fault = Look();
        _thread = new Thread(Run) { IsBackground = true, Name = $"mixer of {card}" };
        _thread.Start();
    }

    /// <summary>What is wrong just now.</summary>
    public DeviceFault? Fault => Volatile.Read(ref _fault);

    /// <summary>Opens the mixer of a card.</summary>
    /// <exception cref="DeviceFaultException">It cannot be read, so that nobody could see it moved.</exception>
    public static AlsaMixer Open(string card, SoundDirection direction)
    {
        nint mixer;
        var error = AlsaMixerApi.Open(&mixer, 0);
        if (error == 0)
        {
            error = AlsaMixerApi.Attach(mixer, card);
            error = error < 0 ? error : AlsaMixerApi.Register(mixer, 0, 0);
            error = error < 0 ? error : AlsaMixerApi.Load(mixer);
            if (error >= 0)
            {
                return new AlsaMixer(mixer, card, direction);
            }

            _ = AlsaMixerApi.Close(mixer);
        }

        throw AlsaFaults.Unfit($"The mixer of \"{card}\" cannot be read ({AlsaFaults.Text(error)}), so that nobody would see it moved.", "Use a device with a mixer that can be read, then start again.");
    }

    public void Dispose()
    {
        if (!_stop.IsSet)
        {
            _stop.Set();
            _thread.Join();
            _ = AlsaMixerApi.Close(_mixer);
        }
    }

    private void Run()
    {
        while (!_stop.Wait(_interval))
        {
            Volatile.Write(ref _fault, Look());
        }
    }

    private DeviceFault? Look()
    {
        if (AlsaMixerApi.HandleEvents(_mixer) is < 0 and var error)
        {
            return AlsaFaults.Gone(_card, error);
        }

        for (var element = AlsaMixerApi.First(_mixer); element != 0; element = AlsaMixerApi.Next(element))
        {
            for (var channel = 0; channel < MostChannels; channel++)
            {
                if ((_direction == SoundDirection.Output ? Output(element, channel) : Input(element, channel)) is { } fault)
                {
                    return fault;
                }
            }
        }

        return null;
    }

    private DeviceFault? Output(nint element, int channel)
    {
        var isMicrophone = AlsaMixerApi.HasCaptureVolume(element) != 0 || AlsaMixerApi.HasCaptureSwitch(element) != 0;
        var hasVolume = AlsaMixerApi.HasPlaybackVolume(element) != 0;
        var hasSwitch = AlsaMixerApi.HasPlaybackSwitch(element) != 0;
        if ((!hasVolume && !hasSwitch) || AlsaMixerApi.HasPlaybackChannel(element, channel) == 0)
        {
            return null;
        }

        long lowest = 0, highest = 0, value = 0;
        var on = 1;
        if (hasVolume)
        {
            _ = AlsaMixerApi.PlaybackRange(element, &lowest, &highest);
            _ = AlsaMixerApi.PlaybackVolume(element, channel, &value);
        }

        if (hasSwitch)
        {
            _ = AlsaMixerApi.PlaybackSwitch(element, channel, &on);
        }

        return !isMicrophone ? Standing(element, hasVolume, value, highest, on)
            : on != 0 && (!hasVolume || value > lowest) ? Mendable($"The control \"{Name(element)}\" of \"{_card}\" leads a microphone into the earphone.", "Switch it off in the mixer of this machine.")
            : null;
    }

    private DeviceFault? Input(nint element, int channel)
    {
        var hasVolume = AlsaMixerApi.HasCaptureVolume(element) != 0;
        var hasSwitch = AlsaMixerApi.HasCaptureSwitch(element) != 0;
        if ((!hasVolume && !hasSwitch) || AlsaMixerApi.HasCaptureChannel(element, channel) == 0)
        {
            return null;
        }

        long lowest = 0, highest = 0, value = 0;
        var on = 1;
        if (hasVolume)
        {
            _ = AlsaMixerApi.CaptureRange(element, &lowest, &highest);
            _ = AlsaMixerApi.CaptureVolume(element, channel, &value);
        }

        if (hasSwitch)
        {
            _ = AlsaMixerApi.CaptureSwitch(element, channel, &on);
        }

        return Standing(element, hasVolume, value, highest, on);
    }

    private DeviceFault? Standing(nint element, bool hasVolume, long value, long highest, int on) =>
        on == 0 ? Mendable($"The control \"{Name(element)}\" of \"{_card}\" is muted.", "Take the mute off in the mixer of this machine.")
        : hasVolume && value != highest ? Mendable(
            string.Create(CultureInfo.InvariantCulture, $"The control \"{Name(element)}\" of \"{_card}\" stands at {value} of {highest}, so that no level is what the calibration says."),
            "Set it to its highest in the mixer of this machine.")
        : null;

    private static string Name(nint element) => Marshal.PtrToStringUTF8((nint)AlsaMixerApi.Name(element)) ?? "nameless";

    private static DeviceFault Mendable(string sentence, string mend) => new(DeviceFaultKind.Mendable, sentence, mend);
}
