namespace TeleHearing.Site.Agent.Audio;

/// <summary>How long a fault of a sound device stands in the way.</summary>
internal enum DeviceFaultKind
{
    /// <summary>Over already, such as an underrun: what was being presented is void, the next presentation may be made.</summary>
    Passing,

    /// <summary>Stands until somebody mends it, such as a moved volume; the kit goes on by itself when it is mended.</summary>
    Mendable,

    /// <summary>The device is lost or was never fit: silence until the program is started again. No other device is taken in its place.</summary>
    Lasting,
}

/// <summary>Why a sound device cannot be trusted.</summary>
/// <param name="Kind">How long it stands in the way.</param>
/// <param name="Sentence">What is wrong.</param>
/// <param name="Mend">What to do about it.</param>
internal sealed record DeviceFault(DeviceFaultKind Kind, string Sentence, string Mend)
{
    /// <summary>What to do about a name that opens nothing. Both places a name comes from are told, for who looks for a device does not know which it was.</summary>
    public const string CorrectTheName = "Correct the name where it was given, on the command line or else in kit.json; the verb devices lists what there is. Then start again.";

    /// <summary>The same for a device that may only be unplugged.</summary>
    public const string PlugInOrCorrectTheName = "Plug it in, or correct its name where it was given, on the command line or else in kit.json; the verb devices lists what there is. Then start again.";

    /// <summary>Part of what a microphone heard was lost, so that noise in it would go unseen.</summary>
    public static DeviceFault MicrophoneGap(string name) =>
        new(DeviceFaultKind.Passing, $"Part of what the microphone \"{name}\" heard was lost, so noise could not be watched.", "Close other programs on the kit, then repeat.");

    /// <summary>Both sentences.</summary>
    public override string ToString() => $"{Sentence} {Mend}";
}

/// <summary>A sound device failed for good.</summary>
internal sealed class DeviceFaultException(DeviceFault fault, Exception? inner = null) : IOException(fault.ToString(), inner)
{
    /// <summary>What is wrong and what to do.</summary>
    public DeviceFault Fault => fault;
}
