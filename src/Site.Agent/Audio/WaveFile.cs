using System.Buffers.Binary;

namespace TeleHearing.Site.Agent.Audio;

/// <summary>Reads the first channel of a WAVE file at the kit's rate: 16, 24 or 32 bit integers, or 32 bit floats.</summary>
internal static class WaveFile
{
    /// <summary>Reads samples, full scale 1.0.</summary>
    /// <exception cref="InvalidDataException">The file is not such a file; the message says in what way.</exception>
    public static float[] ReadMono(string path)
    {
        ReadOnlySpan<byte> file = File.ReadAllBytes(path);
        if (file.Length < 12 || !file[..4].SequenceEqual("RIFF"u8) || !file[8..12].SequenceEqual("WAVE"u8))
        {
            throw new InvalidDataException("It is not a WAVE file.");
        }

        ReadOnlySpan<byte> format = default;
        for (var place = 12; place + 8 <= file.Length;)
        {
            var length = (int)Math.Min(BinaryPrimitives.ReadUInt32LittleEndian(file[(place + 4)..]), (uint)(file.Length - place - 8));
            var body = file.Slice(place + 8, length);
            if (file.Slice(place, 4).SequenceEqual("fmt "u8))
            {
                format = body;
            }
            else if (file.Slice(place, 4).SequenceEqual("data"u8))
            {
                return Decode(format, body);
            }

            place += 8 + length + (length & 1);
        }

        throw new InvalidDataException("It holds no sound.");
    }

    private static float[] Decode(ReadOnlySpan<byte> format, ReadOnlySpan<byte> data)
    {
        if (format.Length < 16)
        {
            throw new InvalidDataException("Its format is not described.");
        }

        var tag = BinaryPrimitives.ReadUInt16LittleEndian(format);
        var channels = BinaryPrimitives.ReadUInt16LittleEndian(format[2..]);
        var rate = BinaryPrimitives.ReadUInt32LittleEndian(format[4..]);
        var bits = BinaryPrimitives.ReadUInt16LittleEndian(format[14..]);
        // 0xFFFE keeps the true tag in a longer description (RIFF WAVE, extensible format)
        tag = tag == 0xFFFE && format.Length >= 26 ? BinaryPrimitives.ReadUInt16LittleEndian(format[24..]) : tag;
        if (rate != AudioFormat.SampleRateHz || channels == 0)
        {
            throw new InvalidDataException($"It has {rate} frames per second; {AudioFormat.SampleRateHz} are needed.");
        }

        if ((tag, bits) is not ((1, 16) or (1, 24) or (1, 32) or (3, 32)))
        {
            throw new InvalidDataException("Its samples are neither 16, 24 or 32 bit integers nor 32 bit floats.");
        }

        var frameBytes = channels * bits / 8;
        var samples = new float[data.Length / frameBytes];
        for (var index = 0; index < samples.Length; index++)
        {
            var at = data[(index * frameBytes)..];
            samples[index] = (tag, bits) switch
            {
                (1, 16) => BinaryPrimitives.ReadInt16LittleEndian(at) / 32768f,
                (1, 24) => (at[0] | (at[1] << 8) | ((sbyte)at[2] << 16)) / 8388608f,
                (1, 32) => BinaryPrimitives.ReadInt32LittleEndian(at) / 2147483648f,
                _ => BinaryPrimitives.ReadSingleLittleEndian(at),
            };
        }

        return samples.Length > 0 ? samples : throw new InvalidDataException("It holds no sound.");
    }
}
