using System.Globalization;
using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Audio.Alsa;

/// <summary>Faults of the kernel's sound devices in words.</summary>
internal static class AlsaFaults
{
    /// <summary>The system's words for a negative error number.</summary>
    public static unsafe string Text(long error) => Marshal.PtrToStringUTF8((nint)AlsaApi.ErrorText((int)error)) ?? error.ToString(CultureInfo.InvariantCulture);

    public static DeviceFaultException LibraryMissing(Exception inner) =>
        new(new DeviceFault(DeviceFaultKind.Lasting, "The sound library libasound.so.2 is missing on this machine.", "Install the package libasound2, then start again."), inner);

    public static DeviceFaultException Unfit(string sentence, string mend) => new(new DeviceFault(DeviceFaultKind.Lasting, sentence, mend));

    public static DeviceFaultException NotOpened(string name, int error) => error == AlsaApi.Busy
        ? Unfit($"Another program holds the sound device \"{name}\".", "Close it, then start again.")
        : Unfit($"The sound device \"{name}\" cannot be opened ({Text(error)}).", DeviceFault.PlugInOrCorrectTheName);

    public static DeviceFault Gone(string name, long error) =>
        new(DeviceFaultKind.Lasting, $"The sound device \"{name}\" is gone ({Text(error)}): it was unplugged or taken away.", "Plug it in again, then start again.");

    public static DeviceFault Still(string name) =>
        new(DeviceFaultKind.Lasting, $"The sound device \"{name}\" stands still: it takes or gives no more sound.", "Unplug it and plug it in again, then start again.");
}
