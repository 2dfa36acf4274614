using System.Runtime.Versioning;
using NAudio.Wave;

namespace TeleHearing.Site.Agent.Audio.Windows;

/// <summary>The sample forms a kit may use on Windows, the finest first.</summary>
[SupportedOSPlatform("windows")]
internal static class WindowsFormats
{
    /// <summary>Front left and front right (KSAUDIO_SPEAKER_STEREO).</summary>
    private const int Stereo = 3;

    /// <summary>The first form a device takes as it is.</summary>
    /// <exception cref="DeviceFaultException">It takes none.</exception>
    public static (WaveFormat Format, SampleLayout Layout) Find(Func<WaveFormat, bool> isSupported, string name)
    {
        (WaveFormat, SampleLayout)[] formats =
        [
            (Of(32, useFloat: true), SampleLayout.Float32),
            (Of(32, useFloat: false), SampleLayout.Integer32),
            (Of(24, useFloat: false), SampleLayout.Integer24InThree),
        ];
        foreach (var (format, layout) in formats)
        {
            if (isSupported(format))
            {
                return (format, layout);
            }
        }

        throw new DeviceFaultException(Unfit(name));
    }

    /// <summary>The refusal.</summary>
    public static DeviceFault Unfit(string name) => new(
        DeviceFaultKind.Lasting,
        $"\"{name}\" does not work at {AudioFormat.SampleRateHz} Hz with 24 or 32 bits on its own channels without conversion.",
        "Set it so in the sound settings of this machine, or use another device, then start again.");

    private static WaveFormatExtensible Of(int bits, bool useFloat) => new(AudioFormat.SampleRateHz, bits, AudioFormat.Channels, useFloat, bits, Stereo);
}
