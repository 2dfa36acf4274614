using TeleHearing.Site.Agent.Audio.Alsa;
using TeleHearing.Site.Agent.Audio.Pulse;
using TeleHearing.Site.Agent.Audio.Windows;

namespace TeleHearing.Site.Agent.Audio;

/// <summary>Opens sound devices by the names a kit gives them. What stands before the colon says which driver opens it.</summary>
internal static class SoundDevices
{
    /// <summary>Opens an output.</summary>
    /// <exception cref="DeviceFaultException">It is not there, not fit, or not to be had. No other is tried.</exception>
    public static IAudioOutput OpenOutput(string name, double? latencyMs, TimeProvider time) => name switch
    {
        _ when OperatingSystem.IsWindows() && Is(name, WindowsEndpoint.Prefix) => WindowsOutput.Open(name, latencyMs ?? PulseSettings.UsualLatencyMs),
        _ when OperatingSystem.IsLinux() && Is(name, AlsaStream.Prefix) => AlsaOutput.Open(name, latencyMs ?? PulseSettings.UsualLatencyMs),
        _ when OperatingSystem.IsLinux() && Is(name, PulseDevice.Prefix) => PulseOutput.Open(name, Pulse(latencyMs), time),
        _ => throw Unknown(name),
    };

    /// <summary>Opens an input.</summary>
    /// <param name="name">Its name.</param>
    /// <param name="splAtRmsOneDb">Sensitivity, from the microphone's own record.</param>
    /// <param name="time">Clock.</param>
    /// <exception cref="DeviceFaultException">It is not there, not fit, or not to be had.</exception>
    public static IAudioInput OpenInput(string name, double splAtRmsOneDb, TimeProvider time) => name switch
    {
        _ when OperatingSystem.IsWindows() && Is(name, WindowsEndpoint.Prefix) => WindowsInput.Open(name, splAtRmsOneDb, time),
        _ when OperatingSystem.IsLinux() && Is(name, AlsaStream.Prefix) => AlsaInput.Open(name, splAtRmsOneDb, time),
        _ when OperatingSystem.IsLinux() && Is(name, PulseDevice.Prefix) => PulseInput.Open(name, splAtRmsOneDb, Pulse(null), time),
        _ => throw Unknown(name),
    };

    /// <summary>Every device of this machine that a driver of this program can list, outputs first.</summary>
    public static DeviceList List()
    {
        var devices = new List<ListedDevice>();
        var notes = new List<string>();
        foreach (var list in Drivers())
        {
            try
            {
                devices.AddRange(list());
            }
            catch (DeviceFaultException fault)
            {
                notes.Add(fault.Message);
            }
        }

        return new DeviceList([.. devices.OrderBy(device => device.State.Direction)], notes);
    }

    private static IEnumerable<Func<IEnumerable<ListedDevice>>> Drivers() =>
        OperatingSystem.IsWindows() ? [ListWindows]
        : OperatingSystem.IsLinux() ? [PulseDevices.List, AlsaNames.List]
        : [() => throw new DeviceFaultException(new DeviceFault(DeviceFaultKind.Lasting, "This program has no driver for the sound devices of this system.", "Use Linux or Windows, or a simulated kit."))];

    [System.Runtime.Versioning.SupportedOSPlatform("windows")]
    private static IEnumerable<ListedDevice> ListWindows() => WindowsEndpoint.List();

    private static bool Is(string name, string prefix) => name.StartsWith(prefix, StringComparison.Ordinal);

    private static PulseSettings Pulse(double? latencyMs) => new(LatencyMs: latencyMs ?? PulseSettings.UsualLatencyMs);

    private static DeviceFaultException Unknown(string name) => new(new DeviceFault(
        DeviceFaultKind.Lasting,
        $"No driver of this program opens a device named \"{name}\" on this system.",
        DeviceFault.CorrectTheName));
}

/// <summary>A device of this machine.</summary>
/// <param name="State">The device as it is just now.</param>
/// <param name="IsDefault">Whether other programs use it unless told otherwise.</param>
internal sealed record ListedDevice(DeviceState State, bool IsDefault);

/// <summary>The devices of this machine, and what kept a driver from listing its own.</summary>
internal sealed record DeviceList(IReadOnlyList<ListedDevice> Devices, IReadOnlyList<string> Notes);
