using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Audio.Alsa;

/// <summary>Names of the kernel's sound devices.</summary>
internal static unsafe class AlsaNames
{
    /// <summary>Buffer with which a device is tried while it is listed, ms.</summary>
    private const double TrialMs = 100;

    /// <summary>The card whose mixer belongs to a device: <c>hw:CARD=X,DEV=0</c> and <c>hw:X,0</c> both belong to <c>hw:X</c>.</summary>
    public static string Card(string device)
    {
        var card = device[AlsaStream.Prefix.Length..].Split(',')[0];
        return AlsaStream.Prefix + (card.StartsWith("CARD=", StringComparison.Ordinal) ? card["CARD=".Length..] : card);
    }

    /// <summary>All <c>hw:</c> devices, each opened for a moment to see whether it is fit.</summary>
    /// <exception cref="DeviceFaultException">The library is missing.</exception>
    public static IEnumerable<ListedDevice> List() =>
        from hint in Hints()
        where hint.Name.StartsWith(AlsaStream.Prefix, StringComparison.Ordinal)
        from direction in new[] { SoundDirection.Output, SoundDirection.Input }
        where hint.Way is null || hint.Way == direction.ToString()
        select new ListedDevice(Look(hint.Name, hint.Description, direction), false);

    private static DeviceState Look(string name, string description, SoundDirection direction)
    {
        try
        {
            using var stream = AlsaStream.Open(name, direction, TrialMs);
            return new DeviceState(name, description, direction, AudioFormat.SampleRateHz, SampleForms.Form(stream.Layout), stream.Channels, LeftThenRight: true, [], Muted: false, Port: null);
        }
        catch (DeviceFaultException fault)
        {
            return new DeviceState(name, $"{description}: {fault.Fault.Sentence}", direction, 0, SampleForm.Other, 0, LeftThenRight: false, [], Muted: false, Port: null);
        }
    }

    private static List<(string Name, string Description, string? Way)> Hints()
    {
        var found = new List<(string, string, string?)>();
        nint* hints;
        try
        {
            if (AlsaApi.Hints(-1, "pcm", &hints) < 0)
            {
                return found;
            }
        }
        catch (DllNotFoundException fault)
        {
            throw AlsaFaults.LibraryMissing(fault);
        }

        for (var hint = hints; *hint != 0; hint++)
        {
            var name = Take(*hint, "NAME") ?? string.Empty;
            found.Add((name, (Take(*hint, "DESC") ?? name).ReplaceLineEndings(", "), Take(*hint, "IOID")));
        }

        _ = AlsaApi.HintsFree(hints);
        return found;
    }

    /// <summary>A text the library made for us, which we give back.</summary>
    private static string? Take(nint hint, string what)
    {
        var text = AlsaApi.Hint(hint, what);
        try
        {
            return Marshal.PtrToStringUTF8((nint)text);
        }
        finally
        {
            NativeMemory.Free(text);
        }
    }
}
