using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Audio.Pulse;

/// <summary>What the library calls, on its own thread.</summary>
internal sealed unsafe partial class PulseStream
{
    private static PulseStream From(nint user) => (PulseStream)GCHandle.FromIntPtr(user).Target!;

    [UnmanagedCallersOnly(CallConvs = [typeof(CallConvCdecl)])]
    private static void OnState(nint stream, nint user)
    {
        var self = From(user);
        if (PulseApi.StreamState(stream) is PulseApi.StreamReady or PulseApi.StreamFailed or PulseApi.StreamTerminated)
        {
            self._settled.Set();
            self.Stirred.Set();
        }
    }

    [UnmanagedCallersOnly(CallConvs = [typeof(CallConvCdecl)])]
    private static void OnRoom(nint stream, nuint bytes, nint user) => From(user).Stirred.Set();

    [UnmanagedCallersOnly(CallConvs = [typeof(CallConvCdecl)])]
    private static void OnUnderflow(nint stream, nint user) => Interlocked.Increment(ref From(user)._underruns);

    [UnmanagedCallersOnly(CallConvs = [typeof(CallConvCdecl)])]
    private static void OnMoved(nint stream, nint user) => From(user)._moved.Set();

    [UnmanagedCallersOnly(CallConvs = [typeof(CallConvCdecl)])]
    private static void OnData(nint stream, nuint available, nint user)
    {
        var self = From(user);
        void* data;
        nuint bytes;
        while (PulseApi.StreamPeek(stream, &data, &bytes) == 0 && bytes > 0)
        {
            // a hole in the recording has a length but no data
            if (data is null)
            {
                Interlocked.Increment(ref self._holes);
            }
            else
            {
                self._heard!(new ReadOnlySpan<float>(data, (int)(bytes / sizeof(float))));
            }

            _ = PulseApi.StreamDrop(stream);
        }
    }
}
