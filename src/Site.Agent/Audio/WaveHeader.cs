using System.Buffers.Binary;

namespace TeleHearing.Site.Agent.Audio;

/// <summary>The header of a WAVE file of 32 bit floats, left and right, at the kit's rate.</summary>
internal static class WaveHeader
{
    /// <summary>Its length.</summary>
    public const int Bytes = 44;

    /// <summary>The most sound its sizes can name.</summary>
    public const uint MostDataBytes = uint.MaxValue - Bytes;

    /// <summary>Writes it.</summary>
    public static void Write(Span<byte> header, uint dataBytes)
    {
        "RIFF"u8.CopyTo(header);
        BinaryPrimitives.WriteUInt32LittleEndian(header[4..], dataBytes == MostDataBytes ? uint.MaxValue : dataBytes + Bytes - 8);
        "WAVEfmt "u8.CopyTo(header[8..]);
        BinaryPrimitives.WriteUInt32LittleEndian(header[16..], 16);
        BinaryPrimitives.WriteUInt16LittleEndian(header[20..], 3);
        BinaryPrimitives.WriteUInt16LittleEndian(header[22..], AudioFormat.Channels);
        BinaryPrimitives.WriteUInt32LittleEndian(header[24..], AudioFormat.SampleRateHz);
        BinaryPrimitives.WriteUInt32LittleEndian(header[28..], AudioFormat.SampleRateHz * AudioFormat.Channels * sizeof(float));
        BinaryPrimitives.WriteUInt16LittleEndian(header[32..], AudioFormat.Channels * sizeof(float));
        BinaryPrimitives.WriteUInt16LittleEndian(header[34..], 8 * sizeof(float));
        "data"u8.CopyTo(header[36..]);
        BinaryPrimitives.WriteUInt32LittleEndian(header[40..], dataBytes);
    }
}
