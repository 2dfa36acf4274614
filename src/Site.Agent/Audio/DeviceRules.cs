using System.Globalization;

namespace TeleHearing.Site.Agent.Audio;

/// <summary>Which devices may carry calibrated sound, and how their mixer must stand.</summary>
/// <remarks>
/// Rate: a sound server resamples without a word when the rates differ. Form: 16 bits end at -98 dB of full scale, above the quietest tones. Mixer: a
/// volume of 90 % takes 2.7 dB away and 153 % adds 11 dB, with no error to the program. All measured with a sound server (docs/validation/devices.md).
/// </remarks>
internal static class DeviceRules
{
    /// <summary>Why a device may never be used as it is; absent when it may.</summary>
    public static DeviceFault? Unfit(DeviceState device)
    {
        if (device.RateHz != AudioFormat.SampleRateHz)
        {
            return Lasting(
                $"{Subject(device)} runs at {device.RateHz} Hz; the kit's sounds are made for {AudioFormat.SampleRateHz} Hz and are not converted.",
                $"Set the device to {AudioFormat.SampleRateHz} Hz in the sound settings of this machine, then start again.");
        }

        if (device.Form is not (SampleForm.Float32 or SampleForm.Integer32 or SampleForm.Integer24))
        {
            return Lasting(
                $"{Subject(device)} works with {Words(device.Form)}, too coarse for quiet sounds.",
                "Set the device to 24 or 32 bits in the sound settings of this machine, or use another device, then start again.");
        }

        if (device.Direction == SoundDirection.Output && (device.Channels != AudioFormat.Channels || !device.LeftThenRight))
        {
            return Lasting(
                $"{Subject(device)} has {(device.Channels == AudioFormat.Channels ? "other channels than left and right, in that order" : string.Create(CultureInfo.InvariantCulture, $"{device.Channels} channels"))}; a left and a right one are needed.",
                "Choose its plain stereo profile in the sound settings of this machine, then start again.");
        }

        return device.Direction == SoundDirection.Input && device.Channels is < 1 or > 2
            ? Lasting($"{Subject(device)} has {device.Channels} channels; a measurement microphone has one or two.", "Choose its plain profile in the sound settings of this machine, then start again.")
            : null;
    }

    /// <summary>What is wrong with the mixer; absent when every channel passes samples unchanged.</summary>
    public static DeviceFault? Mixer(DeviceState device)
    {
        if (device.Muted)
        {
            return Mendable($"{Subject(device)} is muted.", "Take the mute off in the sound settings of this machine.");
        }

        foreach (var volume in device.VolumesPercent)
        {
            if (volume != 100)
            {
                return Mendable(VolumeSentence(Subject(device), volume), "Set it to 100 % on every channel in the sound settings of this machine.");
            }
        }

        return null;
    }

    /// <summary>The sentence for a volume that is not 100 %.</summary>
    public static string VolumeSentence(string subject, double percent) =>
        string.Create(CultureInfo.InvariantCulture, $"{subject} stands at {percent:0.##} % of its volume, so that no level is what the calibration says.");

    /// <summary>How a sample form is named.</summary>
    public static string Words(SampleForm form) => form switch
    {
        SampleForm.Float32 => "32 bit floats",
        SampleForm.Integer32 => "32 bit integers",
        SampleForm.Integer24 => "24 bit integers",
        SampleForm.Integer16 => "16 bit integers",
        _ => "an unsuitable sample form",
    };

    private static string Subject(DeviceState device) => device.Direction == SoundDirection.Output ? $"The sound output \"{device.Description}\"" : $"The microphone input \"{device.Description}\"";

    private static DeviceFault Lasting(string sentence, string mend) => new(DeviceFaultKind.Lasting, sentence, mend);

    private static DeviceFault Mendable(string sentence, string mend) => new(DeviceFaultKind.Mendable, sentence, mend);
}
