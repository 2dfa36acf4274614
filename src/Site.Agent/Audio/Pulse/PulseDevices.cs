namespace TeleHearing.Site.Agent.Audio.Pulse;

/// <summary>Finds a device by the name a kit gives.</summary>
internal static class PulseDevices
{
    /// <summary>The device of that name, when it is fit.</summary>
    /// <exception cref="DeviceFaultException">It is not there or not fit.</exception>
    public static PulseDevice Find(IReadOnlyList<PulseDevice> devices, string name, SoundDirection direction)
    {
        var found = devices.FirstOrDefault(device => device.State.Name == name || device.State.Name == PulseDevice.Prefix + name)
            ?? throw new DeviceFaultException(new DeviceFault(
                DeviceFaultKind.Lasting,
                $"There is no sound {(direction == SoundDirection.Output ? "output" : "input")} \"{name}\" on this machine.",
                "Plug it in, or correct its name in kit.json; the verb devices lists what there is. Then start again."));
        return DeviceRules.Unfit(found.State) is { } unfit ? throw new DeviceFaultException(unfit) : found;
    }
}
