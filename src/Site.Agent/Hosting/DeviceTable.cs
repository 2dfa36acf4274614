using System.Globalization;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>The list of sound devices in words.</summary>
internal static class DeviceTable
{
    /// <summary>The lines to print.</summary>
    public static IEnumerable<string> Lines(DeviceList list) =>
    [
        .. Section("Outputs", list, SoundDirection.Output),
        .. Section("Microphones", list, SoundDirection.Input),
        .. list.Notes,
    ];

    private static IEnumerable<string> Section(string title, DeviceList list, SoundDirection direction)
    {
        var devices = list.Devices.Where(device => device.State.Direction == direction).ToList();
        return devices.Count == 0 ? [$"{title}: none"] : [$"{title} (* is what other programs use)", .. devices.SelectMany(Lines)];
    }

    private static IEnumerable<string> Lines(ListedDevice device)
    {
        var state = device.State;
        yield return $"{(device.IsDefault ? '*' : ' ')} {state.Name}";
        yield return $"    {state.Description}: {Numbers(state)}";
        yield return (DeviceRules.Unfit(state) ?? DeviceRules.Mixer(state)) is { } fault ? $"    not fit: {fault}" : "    fit";
    }

    private static string Numbers(DeviceState state)
    {
        var mixer = state.Muted ? "muted" : state.VolumesPercent.Count == 0 ? "no mixer" : string.Join(" and ", state.VolumesPercent.Distinct().Select(volume => string.Create(CultureInfo.InvariantCulture, $"{volume:0.##} %")));
        return string.Create(CultureInfo.InvariantCulture, $"{state.RateHz} Hz, {DeviceRules.Words(state.Form)}, {state.Channels} channel{(state.Channels == 1 ? "" : "s")}, {mixer}");
    }
}
