using System.Globalization;

namespace TeleHearing.Audiology;

/// <summary>A pure-tone test frequency: one of the eleven conventional ones of ISO 8253-1, 125 Hz to 8 kHz, or one of the six of the extended high-frequency range, 9 to 16 kHz (ISO 389-5).</summary>
public readonly record struct AudiometricFrequency : IComparable<AudiometricFrequency>
{
    private static readonly int[] _conventionalHertz = [125, 250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000];
    private static readonly int[] _extendedHighHertz = [9000, 10_000, 11_200, 12_500, 14_000, 16_000];

    private AudiometricFrequency(int hertz) => Hertz = hertz;

    /// <summary>The frequency in hertz.</summary>
    public int Hertz { get; }

    /// <summary>The frequencies of the conventional range, 125 Hz to 8 kHz, ascending.</summary>
    public static IReadOnlyList<AudiometricFrequency> All { get; } = [.. _conventionalHertz.Select(hertz => new AudiometricFrequency(hertz))];

    /// <summary>The frequencies of the extended high-frequency range, 9 to 16 kHz, ascending (ISO 389-5:2006). Few transducers are calibrated there.</summary>
    public static IReadOnlyList<AudiometricFrequency> ExtendedHigh { get; } = [.. _extendedHighHertz.Select(hertz => new AudiometricFrequency(hertz))];

    /// <summary>Both ranges, 125 Hz to 16 kHz, ascending.</summary>
    public static IReadOnlyList<AudiometricFrequency> Both { get; } = [.. All, .. ExtendedHigh];

    /// <summary>Whether a frequency in hertz is an audiometric one, conventional or extended.</summary>
    public static bool TryFromHertz(double hertz, out AudiometricFrequency frequency)
    {
        var known = double.IsFinite(hertz) && hertz == Math.Floor(hertz) && Both.Any(one => one.Hertz == hertz);
        frequency = known ? new AudiometricFrequency((int)hertz) : default;
        return known;
    }

    /// <summary>Whether a frequency in hertz is one of the conventional range, the only one for which there are limits of room noise and a place on the audiogram.</summary>
    public static bool TryConventional(double hertz, out AudiometricFrequency frequency)
    {
        var known = TryFromHertz(hertz, out frequency) && hertz <= _conventionalHertz[^1];
        frequency = known ? frequency : default;
        return known;
    }

    /// <summary>Makes an audiometric frequency from hertz.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The frequency is not one of <see cref="Both"/>.</exception>
    public static AudiometricFrequency FromHertz(double hertz) =>
        TryFromHertz(hertz, out var frequency)
            ? frequency
            : throw new ArgumentOutOfRangeException(nameof(hertz), hertz, $"Not an audiometric frequency. Use one of {string.Join(", ", Both.Select(one => one.Hertz))} Hz.");

    /// <inheritdoc />
    public int CompareTo(AudiometricFrequency other) => Hertz.CompareTo(other.Hertz);

    public static bool operator <(AudiometricFrequency left, AudiometricFrequency right) => left.Hertz < right.Hertz;

    public static bool operator >(AudiometricFrequency left, AudiometricFrequency right) => left.Hertz > right.Hertz;

    public static bool operator <=(AudiometricFrequency left, AudiometricFrequency right) => left.Hertz <= right.Hertz;

    public static bool operator >=(AudiometricFrequency left, AudiometricFrequency right) => left.Hertz >= right.Hertz;

    /// <inheritdoc />
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Hertz} Hz");
}
