namespace TeleHearing.Site.Agent.Audio.Pulse;

/// <summary>Lists the devices of the sound server and finds one by the name a kit gives.</summary>
internal static class PulseDevices
{
    /// <summary>All outputs and inputs of this user's server; the monitors of outputs are left out.</summary>
    /// <exception cref="DeviceFaultException">There is no server, or it does not answer.</exception>
    public static IEnumerable<ListedDevice> List()
    {
        using var connection = PulseConnection.Open(null);
        var (output, input) = connection.Defaults();
        return
        [
            .. connection.Sinks().Select(sink => new ListedDevice(sink.State, sink.State.Name == PulseDevice.Prefix + output)),
            .. connection.Sources().Where(source => !source.IsMonitor).Select(source => new ListedDevice(source.State, source.State.Name == PulseDevice.Prefix + input)),
        ];
    }

    /// <summary>The device of that name, when it is fit.</summary>
    /// <exception cref="DeviceFaultException">It is not there or not fit.</exception>
    public static PulseDevice Find(IReadOnlyList<PulseDevice> devices, string name, SoundDirection direction)
    {
        var found = devices.FirstOrDefault(device => device.State.Name == name || device.State.Name == PulseDevice.Prefix + name)
            ?? throw new DeviceFaultException(new DeviceFault(
                DeviceFaultKind.Lasting,
                $"There is no sound {(direction == SoundDirection.Output ? "output" : "input")} \"{name}\" on this machine.",
                DeviceFault.PlugInOrCorrectTheName));
        return DeviceRules.Unfit(found.State) is { } unfit ? throw new DeviceFaultException(unfit) : found;
    }
}
