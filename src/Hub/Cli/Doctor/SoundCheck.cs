using System.Runtime.InteropServices;

namespace TeleHearing.Hub.Cli.Doctor;

/// <summary>Which sound devices a kit on this machine could use.</summary>
internal static class SoundCheck
{
    private static readonly (string File, string Name)[] _libraries =
    [
        ("libasound.so.2", "ALSA"),
        ("libpulse.so.0", "PulseAudio"),
        ("libpipewire-0.3.so.0", "PipeWire"),
    ];

    public static IEnumerable<Finding> Examine()
    {
        yield return new Finding(Sign.Ok, "simulated sound card", "available; used by demo and rehearse.");
        if (!OperatingSystem.IsLinux())
        {
            yield return new Finding(Sign.Ok, "sound of the system", "comes with this operating system.");
            yield break;
        }

        string[] found = [.. _libraries.Where(library => IsThere(library.File)).Select(library => library.Name)];
        yield return found.Length > 0
            ? new Finding(Sign.Ok, "sound of the system", $"{string.Join(", ", found)} found.")
            : new Finding(Sign.Attention, "sound of the system", $"none of {string.Join(", ", _libraries.Select(library => library.File))} found.", "Only simulated sound works here; a real kit needs the system's sound library.");
    }

    private static bool IsThere(string library)
    {
        if (!NativeLibrary.TryLoad(library, out var handle))
        {
            return false;
        }

        NativeLibrary.Free(handle);
        return true;
    }
}
