using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Audio.Alsa;

/// <summary>The simple mixer controls of libasound.</summary>
internal static unsafe partial class AlsaMixerApi
{
    private const string Library = "libasound.so.2";

    [LibraryImport(Library, EntryPoint = "snd_mixer_open")]
    public static partial int Open(nint* mixer, int mode);

    [LibraryImport(Library, EntryPoint = "snd_mixer_close")]
    public static partial int Close(nint mixer);

    [LibraryImport(Library, EntryPoint = "snd_mixer_attach", StringMarshalling = StringMarshalling.Utf8)]
    public static partial int Attach(nint mixer, string card);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_register")]
    public static partial int Register(nint mixer, nint options, nint classes);

    [LibraryImport(Library, EntryPoint = "snd_mixer_load")]
    public static partial int Load(nint mixer);

    [LibraryImport(Library, EntryPoint = "snd_mixer_handle_events")]
    public static partial int HandleEvents(nint mixer);

    [LibraryImport(Library, EntryPoint = "snd_mixer_first_elem")]
    public static partial nint First(nint mixer);

    [LibraryImport(Library, EntryPoint = "snd_mixer_elem_next")]
    public static partial nint Next(nint element);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_get_name")]
    public static partial byte* Name(nint element);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_has_playback_channel")]
    public static partial int HasPlaybackChannel(nint element, int channel);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_has_playback_volume")]
    public static partial int HasPlaybackVolume(nint element);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_has_playback_switch")]
    public static partial int HasPlaybackSwitch(nint element);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_get_playback_volume_range")]
    public static partial int PlaybackRange(nint element, long* lowest, long* highest);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_get_playback_volume")]
    public static partial int PlaybackVolume(nint element, int channel, long* value);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_get_playback_switch")]
    public static partial int PlaybackSwitch(nint element, int channel, int* on);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_has_capture_channel")]
    public static partial int HasCaptureChannel(nint element, int channel);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_has_capture_volume")]
    public static partial int HasCaptureVolume(nint element);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_has_capture_switch")]
    public static partial int HasCaptureSwitch(nint element);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_get_capture_volume_range")]
    public static partial int CaptureRange(nint element, long* lowest, long* highest);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_get_capture_volume")]
    public static partial int CaptureVolume(nint element, int channel, long* value);

    [LibraryImport(Library, EntryPoint = "snd_mixer_selem_get_capture_switch")]
    public static partial int CaptureSwitch(nint element, int channel, int* on);
}
