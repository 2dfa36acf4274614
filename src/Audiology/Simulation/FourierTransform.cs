namespace TeleHearing.Audiology.Simulation;

/// <summary>Radix-2 fast Fourier transform of one fixed length (Cooley and Tukey 1965). The simulated person's ears and the making of room noise use it; no measuring part of the kit does.</summary>
internal sealed class FourierTransform
{
    private readonly int[] _reversed;
    private readonly double[] _cosine;
    private readonly double[] _sine;

    public FourierTransform(int length)
    {
        if (length < 2 || (length & (length - 1)) != 0)
        {
            throw new ArgumentOutOfRangeException(nameof(length), length, "The length must be a power of two.");
        }

        Length = length;
        _reversed = new int[length];
        for (var i = 1; i < length; i++)
        {
            _reversed[i] = (_reversed[i / 2] / 2) | ((i & 1) * (length / 2));
        }

        _cosine = [.. Enumerable.Range(0, length / 2).Select(k => Math.Cos(Math.Tau * k / length))];
        _sine = [.. Enumerable.Range(0, length / 2).Select(k => -Math.Sin(Math.Tau * k / length))];
    }

    public int Length { get; }

    /// <summary>Transforms in place, without scaling.</summary>
    public void Forward(Span<double> real, Span<double> imaginary)
    {
        for (var i = 0; i < Length; i++)
        {
            var j = _reversed[i];
            if (j > i)
            {
                (real[i], real[j]) = (real[j], real[i]);
                (imaginary[i], imaginary[j]) = (imaginary[j], imaginary[i]);
            }
        }

        for (var half = 1; half < Length; half *= 2)
        {
            var stride = Length / (2 * half);
            for (var start = 0; start < Length; start += 2 * half)
            {
                Butterflies(real.Slice(start, 2 * half), imaginary.Slice(start, 2 * half), half, stride);
            }
        }
    }

    private void Butterflies(Span<double> real, Span<double> imaginary, int half, int stride)
    {
        var lowReal = real[..half];
        var highReal = real[half..];
        var lowImaginary = imaginary[..half];
        var highImaginary = imaginary[half..];
        for (var k = 0; k < half; k++)
        {
            var (c, s) = (_cosine[k * stride], _sine[k * stride]);
            var r = (highReal[k] * c) - (highImaginary[k] * s);
            var i = (highReal[k] * s) + (highImaginary[k] * c);
            highReal[k] = lowReal[k] - r;
            highImaginary[k] = lowImaginary[k] - i;
            lowReal[k] += r;
            lowImaginary[k] += i;
        }
    }
}
