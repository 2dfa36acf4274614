namespace TeleHearing.Simulation;

/// <summary>Numbers from numbers, the same on every machine.</summary>
internal static class HashCodes
{
    /// <summary>SplitMix64 (Steele, Lea and Flood 2014), its upper half.</summary>
    public static int Of(int seed, int purpose)
    {
        var mixed = ((ulong)(uint)seed << 8) + (ulong)purpose + 0x9E3779B97F4A7C15ul;
        mixed = (mixed ^ (mixed >> 30)) * 0xBF58476D1CE4E5B9ul;
        mixed = (mixed ^ (mixed >> 27)) * 0x94D049BB133111EBul;
        return (int)((mixed ^ (mixed >> 31)) >> 33);
    }
}
