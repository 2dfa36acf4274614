using System.Globalization;

namespace TeleHearing.Audiology.Acoustics;

/// <summary>What was wrong with samples from a microphone. With any fault, nothing measured on them is valid.</summary>
/// <param name="NonFinite">Samples that were no finite number: a fault of the device or its driver.</param>
/// <param name="Clipped">Samples at or beyond full scale: the sound was louder than the input can take, by nobody knows how much.</param>
public readonly record struct InputFaults(long NonFinite, long Clipped)
{
    /// <summary>
    /// From here on a sample counts as clipped: the highest positive value of a 16-bit converter, the coarsest whose samples may come here widened; finer
    /// converters end nearer to 1.
    /// </summary>
    public const float FullScale = 1f - (1f / 32_768);

    /// <summary>Whether there was any.</summary>
    public bool Any => NonFinite > 0 || Clipped > 0;

    /// <summary>Both together.</summary>
    public static InputFaults operator +(InputFaults left, InputFaults right) => Add(left, right);

    /// <summary>Both together.</summary>
    public static InputFaults Add(InputFaults left, InputFaults right) => new(left.NonFinite + right.NonFinite, left.Clipped + right.Clipped);

    /// <summary>The faults in words; empty when there is none.</summary>
    public string Sentence()
    {
        if (NonFinite > 0)
        {
            return string.Create(CultureInfo.InvariantCulture, $"The microphone gave {NonFinite} samples that are no numbers.");
        }

        return Clipped > 0 ? string.Create(CultureInfo.InvariantCulture, $"The microphone was overloaded: {Clipped} samples at full scale.") : string.Empty;
    }

    /// <summary>Copies samples, with full scale in the place of what is no finite number, and counts what is wrong.</summary>
    internal static InputFaults Sift(ReadOnlySpan<float> mono, Span<double> into)
    {
        var (nonFinite, clipped) = (0, 0);
        for (var i = 0; i < mono.Length; i++)
        {
            var sample = mono[i];

            // false for NaN too
            if (Math.Abs(sample) < FullScale)
            {
                into[i] = sample;
            }
            else if (float.IsFinite(sample))
            {
                clipped++;
                into[i] = sample;
            }
            else
            {
                nonFinite++;
                into[i] = 1;
            }
        }

        return new InputFaults(nonFinite, clipped);
    }
}
