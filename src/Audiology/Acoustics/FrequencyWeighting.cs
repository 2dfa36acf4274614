namespace TeleHearing.Audiology.Acoustics;

/// <summary>Frequency weightings of IEC 61672-1.</summary>
public enum FrequencyWeighting
{
    /// <summary>A: near to how loud people hear soft sounds.</summary>
    A,

    /// <summary>C: nearly flat, for peaks.</summary>
    C,

    /// <summary>Z: flat.</summary>
    Z,
}
