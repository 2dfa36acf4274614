using System.Buffers.Binary;
using System.IO.Compression;
using System.Text;

namespace TeleHearing.Hub.Cli.Demo;

/// <summary>The contents photo of the demonstration: an open case drawn point by point, so that no picture of a real thing is needed.</summary>
internal static class InventedPhoto
{
    private const int Width = 640;
    private const int Height = 420;

    private static readonly (int Red, int Green, int Blue) _table = (214, 205, 190);
    private static readonly (int Red, int Green, int Blue) _case = (58, 66, 74);
    private static readonly (int Red, int Green, int Blue) _foam = (110, 122, 132);
    private static readonly (int Red, int Green, int Blue) _unit = (236, 238, 240);
    private static readonly (int Red, int Green, int Blue) _screen = (70, 120, 140);
    private static readonly (int Red, int Green, int Blue) _dark = (30, 32, 36);
    private static readonly (int Red, int Green, int Blue) _tip = (240, 200, 120);
    private static readonly (int Red, int Green, int Blue) _paper = (250, 250, 246);

    /// <summary>The drawing as a PNG file (ISO/IEC 15948): 8 bits a colour, no filter.</summary>
    public static byte[] Png()
    {
        using var rows = new MemoryStream();
        using (var packed = new ZLibStream(rows, CompressionLevel.Optimal, leaveOpen: true))
        {
            for (var y = 0; y < Height; y++)
            {
                packed.WriteByte(0);
                for (var x = 0; x < Width; x++)
                {
                    var (red, green, blue) = Colour(x, y);
                    packed.Write([(byte)red, (byte)green, (byte)blue]);
                }
            }
        }

        var head = new byte[13];
        BinaryPrimitives.WriteInt32BigEndian(head, Width);
        BinaryPrimitives.WriteInt32BigEndian(head.AsSpan(4), Height);
        (head[8], head[9]) = (8, 2);
        return [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, .. Chunk("IHDR", head), .. Chunk("IDAT", rows.ToArray()), .. Chunk("IEND", [])];
    }

    private static (int Red, int Green, int Blue) Colour(int x, int y) =>
        !In(x, y, 30, 30, 580, 360) ? _table
        : !In(x, y, 48, 48, 544, 324) ? _case
        : In(x, y, 96, 100, 130, 70) ? _screen
        : In(x, y, 80, 80, 162, 190) ? _unit
        : Ring(x, y, 350, 190, 40, 0) || Ring(x, y, 470, 190, 40, 0) ? _dark
        : (y < 190 && Ring(x, y, 410, 190, 72, 60)) ? _dark
        : Ring(x, y, 110, 325, 22, 0) || In(x, y, 110, 320, 110, 10) ? _dark
        : Tip(x, y) ? _tip
        : In(x, y, 470, 270, 100, 80) ? _paper
        : _foam;

    private static bool Tip(int x, int y) => x is > 270 and < 440 && y is > 280 and < 350 && Ring((x - 270) % 34, (y - 280) % 34, 17, 17, 11, 4);

    private static bool In(int x, int y, int left, int top, int width, int height) => x >= left && x < left + width && y >= top && y < top + height;

    private static bool Ring(int x, int y, int centreX, int centreY, int outer, int inner)
    {
        var square = ((x - centreX) * (x - centreX)) + ((y - centreY) * (y - centreY));
        return square <= outer * outer && square >= inner * inner;
    }

    private static byte[] Chunk(string name, byte[] content)
    {
        byte[] named = [.. Encoding.ASCII.GetBytes(name), .. content];
        var chunk = new byte[named.Length + 8];
        BinaryPrimitives.WriteInt32BigEndian(chunk, content.Length);
        named.CopyTo(chunk, 4);
        BinaryPrimitives.WriteUInt32BigEndian(chunk.AsSpan(named.Length + 4), Crc(named));
        return chunk;
    }

    // The check of ISO/IEC 15948, annex D: CRC-32 with the reversed polynomial EDB88320.
    private static uint Crc(byte[] bytes)
    {
        var crc = 0xFFFFFFFFu;
        foreach (var one in bytes)
        {
            crc ^= one;
            for (var bit = 0; bit < 8; bit++)
            {
                crc = (crc & 1) == 1 ? (crc >> 1) ^ 0xEDB88320u : crc >> 1;
            }
        }

        return ~crc;
    }
}
