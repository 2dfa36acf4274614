using System.Globalization;

namespace TeleHearing.Audiology;

/// <summary>A pure-tone test frequency of the conventional range: the eleven of ISO 8253-1 from 125 Hz to 8 kHz.</summary>
public readonly record struct AudiometricFrequency : IComparable<AudiometricFrequency>
{
    private static readonly int[] _allHertz = [125, 250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000];

    private AudiometricFrequency(int hertz) => Hertz = hertz;

    /// <summary>The frequency in hertz.</summary>
    public int Hertz { get; }

    /// <summary>All frequencies, ascending.</summary>
    public static IReadOnlyList<AudiometricFrequency> All { get; } = [.. _allHertz.Select(hertz => new AudiometricFrequency(hertz))];

    /// <summary>Whether a frequency in hertz is an audiometric one.</summary>
    public static bool TryFromHertz(double hertz, out AudiometricFrequency frequency)
    {
        var known = double.IsFinite(hertz) && hertz == Math.Floor(hertz) && Array.IndexOf(_allHertz, (int)Math.Clamp(hertz, 0, 1e6)) >= 0;
        frequency = known ? new AudiometricFrequency((int)hertz) : default;
        return known;
    }

    /// <summary>Makes an audiometric frequency from hertz.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The frequency is not one of <see cref="All"/>.</exception>
    public static AudiometricFrequency FromHertz(double hertz) =>
        TryFromHertz(hertz, out var frequency)
            ? frequency
            : throw new ArgumentOutOfRangeException(nameof(hertz), hertz, $"Not an audiometric frequency. Use one of {string.Join(", ", _allHertz)} Hz.");

    /// <inheritdoc />
    public int CompareTo(AudiometricFrequency other) => Hertz.CompareTo(other.Hertz);

    public static bool operator <(AudiometricFrequency left, AudiometricFrequency right) => left.Hertz < right.Hertz;

    public static bool operator >(AudiometricFrequency left, AudiometricFrequency right) => left.Hertz > right.Hertz;

    public static bool operator <=(AudiometricFrequency left, AudiometricFrequency right) => left.Hertz <= right.Hertz;

    public static bool operator >=(AudiometricFrequency left, AudiometricFrequency right) => left.Hertz >= right.Hertz;

    /// <inheritdoc />
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Hertz} Hz");
}
