using System.Globalization;

namespace TeleHearing.Audiology;

/// <summary>A hearing level: decibels relative to the reference equivalent threshold of the transducer at the tone's frequency (dB HL).</summary>
/// <remarks>Any finite value is representable; what a kit may play is decided by its ceilings, not here. Not-a-number and infinities are refused.</remarks>
public readonly record struct HearingLevel : IComparable<HearingLevel>
{
    private HearingLevel(double decibels) => Decibels = decibels;

    /// <summary>The level in dB HL; always finite.</summary>
    public double Decibels { get; }

    /// <summary>Makes a hearing level from dB HL.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The value is not finite.</exception>
    public static HearingLevel FromDecibels(double decibels) =>
        double.IsFinite(decibels)
            ? new HearingLevel(decibels)
            : throw new ArgumentOutOfRangeException(nameof(decibels), decibels, "A hearing level must be a finite number of decibels.");

    /// <inheritdoc />
    public int CompareTo(HearingLevel other) => Decibels.CompareTo(other.Decibels);

    /// <summary>Raises (positive) or lowers (negative) the level.</summary>
    public HearingLevel Raise(double decibels) => FromDecibels(Decibels + decibels);

    public static bool operator <(HearingLevel left, HearingLevel right) => left.Decibels < right.Decibels;

    public static bool operator >(HearingLevel left, HearingLevel right) => left.Decibels > right.Decibels;

    public static bool operator <=(HearingLevel left, HearingLevel right) => left.Decibels <= right.Decibels;

    public static bool operator >=(HearingLevel left, HearingLevel right) => left.Decibels >= right.Decibels;

    /// <inheritdoc />
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Decibels:0.#} dB HL");
}
