namespace TeleHearing.Audiology.Signals;

/// <summary>Numbers by chance from a seed (SplitMix64; Steele, Lea and Flood 2014). Written out here so that a seed gives the same noise with every version of the runtime.</summary>
internal struct SplitMix(long seed)
{
    private ulong _state = unchecked((ulong)seed);

    /// <summary>The next number, 0 or more and below 1.</summary>
    public double NextUnit()
    {
        unchecked
        {
            _state += 0x9E37_79B9_7F4A_7C15;
            var mixed = _state;
            mixed = (mixed ^ (mixed >> 30)) * 0xBF58_476D_1CE4_E5B9;
            mixed = (mixed ^ (mixed >> 27)) * 0x94D0_49BB_1331_11EB;
            mixed ^= mixed >> 31;
            return (mixed >> 11) * (1.0 / (1UL << 53));
        }
    }
}
