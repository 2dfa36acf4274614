using System.Buffers.Binary;
using System.Text;

namespace TeleHearing.Testing;

/// <summary>Writes and reads sound files as tests need them: 32-bit float, little-endian RIFF.</summary>
public static class WavFile
{
    private const short FloatFormat = 3;

    /// <summary>Writes interleaved samples.</summary>
    public static void Write(string path, ReadOnlySpan<float> samples, int sampleRateHz, int channels)
    {
        using var stream = File.Create(path);
        using var writer = new BinaryWriter(stream, Encoding.ASCII);
        var bytes = samples.Length * sizeof(float);
        writer.Write("RIFF"u8);
        writer.Write(36 + bytes);
        writer.Write("WAVEfmt "u8);
        writer.Write(16);
        writer.Write(FloatFormat);
        writer.Write((short)channels);
        writer.Write(sampleRateHz);
        writer.Write(sampleRateHz * channels * sizeof(float));
        writer.Write((short)(channels * sizeof(float)));
        writer.Write((short)32);
        writer.Write("data"u8);
        writer.Write(bytes);
        foreach (var sample in samples)
        {
            writer.Write(sample);
        }
    }

    /// <summary>Reads the samples of a 32-bit float file whose writer may have been killed: what is there counts, not what the header says.</summary>
    public static float[] ReadFloats(string path)
    {
        using var stream = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
        using var memory = new MemoryStream();
        stream.CopyTo(memory);
        var bytes = memory.GetBuffer().AsSpan(0, (int)memory.Length);
        var data = bytes.IndexOf("data"u8);
        if (data < 0)
        {
            throw new InvalidDataException($"{path} has no data chunk.");
        }

        var body = bytes[(data + 8)..];
        var samples = new float[body.Length / sizeof(float)];
        for (var i = 0; i < samples.Length; i++)
        {
            samples[i] = BinaryPrimitives.ReadSingleLittleEndian(body[(i * sizeof(float))..]);
        }

        return samples;
    }
}
