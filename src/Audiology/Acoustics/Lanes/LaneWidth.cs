namespace TeleHearing.Audiology.Acoustics;

/// <summary>How many bands are computed side by side.</summary>
internal enum LaneWidth
{
    /// <summary>As many as the machine computes in one instruction.</summary>
    Widest,

    /// <summary>Two.</summary>
    Bits128,

    /// <summary>Four.</summary>
    Bits256,

    /// <summary>Eight.</summary>
    Bits512,
}
