using System.Buffers.Binary;
using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Audio;

/// <summary>Writes everything handed to the output into a float stereo WAVE file, and beside it when each block was handed over.</summary>
/// <remarks>
/// Used by the audio loop alone. The times file holds pairs of little-endian 64-bit numbers: first frame of the block, time stamp of the
/// machine's monotonic clock. Nothing is buffered here, so that a killed program leaves what it played; readers take the end of the file as the
/// end of the sound, since the sizes in the header are only filled in at a clean end.
/// </remarks>
internal sealed class Recorder : IDisposable
{
    private readonly FileStream _wave;
    private readonly FileStream _times;
    private readonly TimeProvider _time;
    private readonly byte[] _stamp = new byte[16];

    public Recorder(string path, TimeProvider time)
    {
        _time = time;
        _wave = new FileStream(path, FileMode.Create, FileAccess.Write, FileShare.Read, bufferSize: 0);
        _times = new FileStream(path + ".times", FileMode.Create, FileAccess.Write, FileShare.Read, bufferSize: 0);
        WriteHeader(WaveHeader.MostDataBytes);
    }

    /// <summary>One block, just before it is handed to the device.</summary>
    public void Add(long startFrame, ReadOnlySpan<float> stereo)
    {
        BinaryPrimitives.WriteInt64LittleEndian(_stamp, startFrame);
        BinaryPrimitives.WriteInt64LittleEndian(_stamp.AsSpan(8), _time.GetTimestamp());
        _wave.Write(MemoryMarshal.AsBytes(stereo));
        _times.Write(_stamp);
    }

    public void Dispose()
    {
        var dataBytes = (uint)Math.Min(_wave.Length - WaveHeader.Bytes, WaveHeader.MostDataBytes);
        _wave.Position = 0;
        WriteHeader(dataBytes);
        _wave.Dispose();
        _times.Dispose();
    }

    private void WriteHeader(uint dataBytes)
    {
        Span<byte> header = stackalloc byte[WaveHeader.Bytes];
        WaveHeader.Write(header, dataBytes);
        _wave.Write(header);
    }
}
