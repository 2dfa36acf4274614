namespace TeleHearing.Site.Agent.Audio.Pulse;

/// <summary>A sink or a source as the sound server describes it.</summary>
/// <param name="State">What every kind of device has.</param>
/// <param name="Index">The server's number for it; a device that comes back gets a new one.</param>
/// <param name="Monitor">Of a sink: the source on which everything it plays can be recorded.</param>
/// <param name="IsMonitor">Whether this source is such a monitor.</param>
/// <param name="IsUnplugged">Whether nothing is plugged into the socket in use.</param>
internal sealed record PulseDevice(DeviceState State, uint Index, string? Monitor, bool IsMonitor, bool IsUnplugged)
{
    /// <summary>What stands before the server's own name in the name a kit uses.</summary>
    public const string Prefix = "pulse:";
    private const uint NoIndex = uint.MaxValue;

    internal static unsafe PulseDevice Read(DeviceInfo* info, SoundDirection direction)
    {
        var name = PulseConnection.Text(info->Name) ?? string.Empty;
        var inOrder = info->Map is { Channels: AudioFormat.Channels } && info->Map.Positions[0] == ChannelMap.FrontLeft && info->Map.Positions[1] == ChannelMap.FrontRight;
        var state = new DeviceState(
            Prefix + name,
            PulseConnection.Text(info->Description) ?? name,
            direction,
            (int)info->Spec.RateHz,
            info->Spec.Form,
            info->Spec.Channels,
            inOrder,
            Percents(info->Volume),
            info->Mute != 0,
            info->ActivePort is null ? null : PulseConnection.Text(info->ActivePort->Name));
        return new PulseDevice(
            state,
            info->Index,
            PulseConnection.Text(info->MonitorName),
            direction == SoundDirection.Input && info->MonitorIndex != NoIndex,
            info->ActivePort is not null && info->ActivePort->Available == PortInfo.Unplugged);
    }

    internal static unsafe IReadOnlyList<double> Percents(ChannelVolume volume)
    {
        var percents = new double[volume.Channels];
        for (var channel = 0; channel < percents.Length; channel++)
        {
            percents[channel] = 100 * (volume.Values[channel] / ChannelVolume.Unchanged);
        }

        return percents;
    }
}

/// <summary>One stream of some program to or from a device.</summary>
/// <param name="Index">The server's number for the stream.</param>
/// <param name="Name">Its name.</param>
/// <param name="Device">The server's number of the device.</param>
/// <param name="IsPaused">Whether it is held.</param>
/// <param name="IsMuted">Whether it is muted.</param>
/// <param name="VolumesPercent">Its own volume.</param>
internal sealed record PulseUser(uint Index, string Name, uint Device, bool IsPaused, bool IsMuted, IReadOnlyList<double> VolumesPercent);
