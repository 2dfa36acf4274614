namespace TeleHearing.Site.Agent.Journal;

/// <summary>CRC-32 with the reflected polynomial 0xEDB88320 (ISO/IEC 3309, ITU-T V.42). Finds torn and damaged frames; the seal finds forged ones.</summary>
internal static class Crc32
{
    private static readonly uint[] _table = MakeTable();

    public static uint Of(ReadOnlySpan<byte> bytes)
    {
        var crc = uint.MaxValue;
        foreach (var value in bytes)
        {
            crc = _table[(byte)(crc ^ value)] ^ (crc >> 8);
        }

        return ~crc;
    }

    private static uint[] MakeTable()
    {
        var table = new uint[256];
        for (uint index = 0; index < table.Length; index++)
        {
            var value = index;
            for (var bit = 0; bit < 8; bit++)
            {
                value = (value & 1) == 1 ? 0xEDB88320 ^ (value >> 1) : value >> 1;
            }

            table[index] = value;
        }

        return table;
    }
}
