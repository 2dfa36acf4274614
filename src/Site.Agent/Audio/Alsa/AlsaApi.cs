using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Audio.Alsa;

/// <summary>The functions of libasound that are used, one to one. Negative results are negative error numbers of the system.</summary>
internal static unsafe partial class AlsaApi
{
    private const string Library = "libasound.so.2";

    public const int Playback = 0;
    public const int Capture = 1;
    public const int NonBlocking = 1;
    public const int InterleavedAccess = 3;

    public const int TryAgain = -11;
    public const int Busy = -16;
    public const int Overrun = -32;

    /// <summary>Sample formats in the order in which they are wanted, with their numbers in libasound.</summary>
    public static IReadOnlyList<(int Format, SampleLayout Layout)> Formats { get; } =
    [
        (14, SampleLayout.Float32),
        (10, SampleLayout.Integer32),
        (6, SampleLayout.Integer24InFour),
        (32, SampleLayout.Integer24InThree),
    ];

    [LibraryImport(Library, EntryPoint = "snd_pcm_open", StringMarshalling = StringMarshalling.Utf8)]
    public static partial int Open(nint* pcm, string name, int direction, int mode);

    [LibraryImport(Library, EntryPoint = "snd_pcm_close")]
    public static partial int Close(nint pcm);

    [LibraryImport(Library, EntryPoint = "snd_pcm_drop")]
    public static partial int Drop(nint pcm);

    [LibraryImport(Library, EntryPoint = "snd_pcm_prepare")]
    public static partial int Prepare(nint pcm);

    [LibraryImport(Library, EntryPoint = "snd_pcm_start")]
    public static partial int Start(nint pcm);

    [LibraryImport(Library, EntryPoint = "snd_pcm_wait")]
    public static partial int Wait(nint pcm, int milliseconds);

    [LibraryImport(Library, EntryPoint = "snd_pcm_delay")]
    public static partial int Delay(nint pcm, long* frames);

    [LibraryImport(Library, EntryPoint = "snd_pcm_writei")]
    public static partial long Write(nint pcm, byte* data, ulong frames);

    [LibraryImport(Library, EntryPoint = "snd_pcm_readi")]
    public static partial long Read(nint pcm, byte* data, ulong frames);

    [LibraryImport(Library, EntryPoint = "snd_pcm_avail_update")]
    public static partial long Available(nint pcm);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_malloc")]
    public static partial int HardwareNew(nint* parameters);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_free")]
    public static partial void HardwareFree(nint parameters);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_any")]
    public static partial int HardwareAny(nint pcm, nint parameters);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_set_rate_resample")]
    public static partial int SetResample(nint pcm, nint parameters, uint on);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_set_access")]
    public static partial int SetAccess(nint pcm, nint parameters, int access);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_test_format")]
    public static partial int TestFormat(nint pcm, nint parameters, int format);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_set_format")]
    public static partial int SetFormat(nint pcm, nint parameters, int format);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_test_channels")]
    public static partial int TestChannels(nint pcm, nint parameters, uint channels);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_set_channels")]
    public static partial int SetChannels(nint pcm, nint parameters, uint channels);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_test_rate")]
    public static partial int TestRate(nint pcm, nint parameters, uint rate, int direction);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_set_rate")]
    public static partial int SetRate(nint pcm, nint parameters, uint rate, int direction);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_set_period_size_near")]
    public static partial int SetPeriodNear(nint pcm, nint parameters, ulong* frames, int* direction);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params_set_buffer_size_near")]
    public static partial int SetBufferNear(nint pcm, nint parameters, ulong* frames);

    [LibraryImport(Library, EntryPoint = "snd_pcm_hw_params")]
    public static partial int SetHardware(nint pcm, nint parameters);

    [LibraryImport(Library, EntryPoint = "snd_pcm_sw_params_malloc")]
    public static partial int SoftwareNew(nint* parameters);

    [LibraryImport(Library, EntryPoint = "snd_pcm_sw_params_free")]
    public static partial void SoftwareFree(nint parameters);

    [LibraryImport(Library, EntryPoint = "snd_pcm_sw_params_current")]
    public static partial int SoftwareCurrent(nint pcm, nint parameters);

    [LibraryImport(Library, EntryPoint = "snd_pcm_sw_params_set_start_threshold")]
    public static partial int SetStartThreshold(nint pcm, nint parameters, ulong frames);

    [LibraryImport(Library, EntryPoint = "snd_pcm_sw_params_set_avail_min")]
    public static partial int SetAvailableMinimum(nint pcm, nint parameters, ulong frames);

    [LibraryImport(Library, EntryPoint = "snd_pcm_sw_params")]
    public static partial int SetSoftware(nint pcm, nint parameters);

    [LibraryImport(Library, EntryPoint = "snd_strerror")]
    public static partial byte* ErrorText(int error);

    [LibraryImport(Library, EntryPoint = "snd_device_name_hint", StringMarshalling = StringMarshalling.Utf8)]
    public static partial int Hints(int card, string kind, nint** hints);

    [LibraryImport(Library, EntryPoint = "snd_device_name_get_hint", StringMarshalling = StringMarshalling.Utf8)]
    public static partial byte* Hint(nint hint, string what);

    [LibraryImport(Library, EntryPoint = "snd_device_name_free_hint")]
    public static partial int HintsFree(nint* hints);
}
