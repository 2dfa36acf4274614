using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Audio.Pulse;

/// <summary>The functions of libpulse that are used, one to one.</summary>
/// <remarks>
/// Every call but those on the main loop itself is made with the main loop's lock held (pa_threaded_mainloop_lock), except from a callback, which holds
/// it already. Callbacks run on the library's own thread, must be quick and may not wait.
/// </remarks>
internal static unsafe partial class PulseApi
{
    private const string Library = "libpulse.so.0";

    public const int ContextReady = 4;
    public const int ContextFailed = 5;
    public const int ContextTerminated = 6;
    public const int StreamReady = 2;
    public const int StreamFailed = 3;
    public const int StreamTerminated = 4;

    /// <summary>Never start a sound server of one's own.</summary>
    public const int ContextNoAutospawn = 1;

    public const int InterpolateTiming = 0x0002;
    public const int AutoTimingUpdate = 0x0008;
    public const int NoRemapChannels = 0x0010;
    public const int NoRemixChannels = 0x0020;

    /// <summary>When the device goes, the stream ends; it is never moved to another.</summary>
    public const int DontMove = 0x0200;
    public const int AdjustLatency = 0x2000;

    /// <summary>Sinks, sources, sink inputs, source outputs and the server itself.</summary>
    public const int SubscribeMask = 0x0001 | 0x0002 | 0x0004 | 0x0008 | 0x0080;

    [LibraryImport(Library, EntryPoint = "pa_threaded_mainloop_new")]
    public static partial nint MainloopNew();

    [LibraryImport(Library, EntryPoint = "pa_threaded_mainloop_start")]
    public static partial int MainloopStart(nint mainloop);

    [LibraryImport(Library, EntryPoint = "pa_threaded_mainloop_stop")]
    public static partial void MainloopStop(nint mainloop);

    [LibraryImport(Library, EntryPoint = "pa_threaded_mainloop_free")]
    public static partial void MainloopFree(nint mainloop);

    [LibraryImport(Library, EntryPoint = "pa_threaded_mainloop_lock")]
    public static partial void MainloopLock(nint mainloop);

    [LibraryImport(Library, EntryPoint = "pa_threaded_mainloop_unlock")]
    public static partial void MainloopUnlock(nint mainloop);

    [LibraryImport(Library, EntryPoint = "pa_threaded_mainloop_get_api")]
    public static partial nint MainloopGetApi(nint mainloop);

    [LibraryImport(Library, EntryPoint = "pa_context_new", StringMarshalling = StringMarshalling.Utf8)]
    public static partial nint ContextNew(nint api, string programName);

    [LibraryImport(Library, EntryPoint = "pa_context_connect", StringMarshalling = StringMarshalling.Utf8)]
    public static partial int ContextConnect(nint context, string? server, int flags, nint spawn);

    [LibraryImport(Library, EntryPoint = "pa_context_disconnect")]
    public static partial void ContextDisconnect(nint context);

    [LibraryImport(Library, EntryPoint = "pa_context_unref")]
    public static partial void ContextUnref(nint context);

    [LibraryImport(Library, EntryPoint = "pa_context_get_state")]
    public static partial int ContextState(nint context);

    [LibraryImport(Library, EntryPoint = "pa_context_errno")]
    public static partial int ContextError(nint context);

    [LibraryImport(Library, EntryPoint = "pa_context_set_state_callback")]
    public static partial void ContextSetStateCallback(nint context, delegate* unmanaged[Cdecl]<nint, nint, void> callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_context_set_subscribe_callback")]
    public static partial void ContextSetSubscribeCallback(nint context, delegate* unmanaged[Cdecl]<nint, int, uint, nint, void> callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_context_subscribe")]
    public static partial nint ContextSubscribe(nint context, int mask, nint callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_context_get_sink_info_list")]
    public static partial nint GetSinks(nint context, delegate* unmanaged[Cdecl]<nint, DeviceInfo*, int, nint, void> callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_context_get_source_info_list")]
    public static partial nint GetSources(nint context, delegate* unmanaged[Cdecl]<nint, DeviceInfo*, int, nint, void> callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_context_get_sink_input_info_list")]
    public static partial nint GetSinkInputs(nint context, delegate* unmanaged[Cdecl]<nint, SinkInputInfo*, int, nint, void> callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_context_get_source_output_info_list")]
    public static partial nint GetSourceOutputs(nint context, delegate* unmanaged[Cdecl]<nint, SourceOutputInfo*, int, nint, void> callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_context_get_server_info")]
    public static partial nint GetServer(nint context, delegate* unmanaged[Cdecl]<nint, ServerInfo*, nint, void> callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_operation_cancel")]
    public static partial void OperationCancel(nint operation);

    [LibraryImport(Library, EntryPoint = "pa_operation_unref")]
    public static partial void OperationUnref(nint operation);

    [LibraryImport(Library, EntryPoint = "pa_strerror")]
    public static partial byte* ErrorText(int error);

    [LibraryImport(Library, EntryPoint = "pa_stream_new", StringMarshalling = StringMarshalling.Utf8)]
    public static partial nint StreamNew(nint context, string name, SampleSpec* spec, ChannelMap* map);

    [LibraryImport(Library, EntryPoint = "pa_stream_unref")]
    public static partial void StreamUnref(nint stream);

    [LibraryImport(Library, EntryPoint = "pa_stream_get_state")]
    public static partial int StreamState(nint stream);

    [LibraryImport(Library, EntryPoint = "pa_stream_get_index")]
    public static partial uint StreamIndex(nint stream);

    [LibraryImport(Library, EntryPoint = "pa_stream_get_device_name")]
    public static partial byte* StreamDeviceName(nint stream);

    [LibraryImport(Library, EntryPoint = "pa_stream_is_suspended")]
    public static partial int StreamIsSuspended(nint stream);

    [LibraryImport(Library, EntryPoint = "pa_stream_connect_playback", StringMarshalling = StringMarshalling.Utf8)]
    public static partial int StreamConnectPlayback(nint stream, string device, BufferAttributes* attributes, int flags, nint volume, nint syncStream);

    [LibraryImport(Library, EntryPoint = "pa_stream_connect_record", StringMarshalling = StringMarshalling.Utf8)]
    public static partial int StreamConnectRecord(nint stream, string device, BufferAttributes* attributes, int flags);

    [LibraryImport(Library, EntryPoint = "pa_stream_disconnect")]
    public static partial int StreamDisconnect(nint stream);

    [LibraryImport(Library, EntryPoint = "pa_stream_flush")]
    public static partial nint StreamFlush(nint stream, nint callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_stream_writable_size")]
    public static partial nuint StreamWritableSize(nint stream);

    [LibraryImport(Library, EntryPoint = "pa_stream_write")]
    public static partial int StreamWrite(nint stream, void* data, nuint bytes, nint free, long offset, int seek);

    [LibraryImport(Library, EntryPoint = "pa_stream_peek")]
    public static partial int StreamPeek(nint stream, void** data, nuint* bytes);

    [LibraryImport(Library, EntryPoint = "pa_stream_drop")]
    public static partial int StreamDrop(nint stream);

    [LibraryImport(Library, EntryPoint = "pa_stream_get_latency")]
    public static partial int StreamLatency(nint stream, ulong* microseconds, int* negative);

    [LibraryImport(Library, EntryPoint = "pa_stream_set_state_callback")]
    public static partial void StreamSetStateCallback(nint stream, delegate* unmanaged[Cdecl]<nint, nint, void> callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_stream_set_write_callback")]
    public static partial void StreamSetWriteCallback(nint stream, delegate* unmanaged[Cdecl]<nint, nuint, nint, void> callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_stream_set_read_callback")]
    public static partial void StreamSetReadCallback(nint stream, delegate* unmanaged[Cdecl]<nint, nuint, nint, void> callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_stream_set_underflow_callback")]
    public static partial void StreamSetUnderflowCallback(nint stream, delegate* unmanaged[Cdecl]<nint, nint, void> callback, nint user);

    [LibraryImport(Library, EntryPoint = "pa_stream_set_moved_callback")]
    public static partial void StreamSetMovedCallback(nint stream, delegate* unmanaged[Cdecl]<nint, nint, void> callback, nint user);
}
