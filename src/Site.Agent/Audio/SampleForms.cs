using System.Buffers.Binary;
using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Audio;

/// <summary>How samples lie in memory.</summary>
internal enum SampleLayout
{
    Float32,
    Integer32,

    /// <summary>24 bits in the low three of four bytes.</summary>
    Integer24InFour,

    /// <summary>24 bits in three bytes.</summary>
    Integer24InThree,
}

/// <summary>Turns samples into what a device takes and back; little-endian, full scale 1.0. Rounded to the nearest step, without dither: a tone stays exactly repeatable.</summary>
internal static class SampleForms
{
    private const double FullScale32 = 2147483648.0;
    private const double FullScale24 = 8388608.0;

    /// <summary>Bytes of one sample.</summary>
    public static int Bytes(SampleLayout layout) => layout == SampleLayout.Integer24InThree ? 3 : 4;

    /// <summary>The form, however it lies in memory.</summary>
    public static SampleForm Form(SampleLayout layout) => layout switch
    {
        SampleLayout.Float32 => SampleForm.Float32,
        SampleLayout.Integer32 => SampleForm.Integer32,
        _ => SampleForm.Integer24,
    };

    /// <summary>Encodes; integers stop at full scale, one step below 1.0.</summary>
    public static void Encode(ReadOnlySpan<float> samples, SampleLayout layout, Span<byte> bytes)
    {
        if (layout == SampleLayout.Float32)
        {
            MemoryMarshal.AsBytes(samples).CopyTo(bytes);
            return;
        }

        var size = Bytes(layout);
        for (var index = 0; index < samples.Length; index++)
        {
            var place = bytes[(index * size)..];
            if (layout == SampleLayout.Integer32)
            {
                BinaryPrimitives.WriteInt32LittleEndian(place, (int)Math.Clamp(Math.Round(samples[index] * FullScale32), int.MinValue, int.MaxValue));
                continue;
            }

            var value = (int)Math.Clamp(Math.Round(samples[index] * FullScale24), -FullScale24, FullScale24 - 1);
            (place[0], place[1], place[2]) = ((byte)value, (byte)(value >> 8), (byte)(value >> 16));
            if (size == 4)
            {
                place[3] = (byte)(value >> 24);
            }
        }
    }

    /// <summary>Decodes.</summary>
    public static void Decode(ReadOnlySpan<byte> bytes, SampleLayout layout, Span<float> samples)
    {
        if (layout == SampleLayout.Float32)
        {
            MemoryMarshal.Cast<byte, float>(bytes)[..samples.Length].CopyTo(samples);
            return;
        }

        var size = Bytes(layout);
        for (var index = 0; index < samples.Length; index++)
        {
            var place = bytes[(index * size)..];
            samples[index] = layout == SampleLayout.Integer32
                ? (float)(BinaryPrimitives.ReadInt32LittleEndian(place) / FullScale32)
                : (float)((place[0] | (place[1] << 8) | ((sbyte)place[2] << 16)) / FullScale24);
        }
    }
}
