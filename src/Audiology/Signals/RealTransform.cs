namespace TeleHearing.Audiology.Signals;

/// <summary>Fourier transform between real samples and the lower half of their spectrum, for one power-of-two length.</summary>
/// <remarks>
/// Two neighbouring samples are taken as one complex number, which halves the work (handbook method). Written apart from the transform of the simulated person and from the
/// analysers on purpose: what makes a sound and what measures it share no code.
/// </remarks>
internal sealed class RealTransform
{
    private readonly int _half;
    private readonly int[] _reversed;
    private readonly double[] _cosine;
    private readonly double[] _sine;

    public RealTransform(int length)
    {
        if (length < 4 || (length & (length - 1)) != 0)
        {
            throw new ArgumentOutOfRangeException(nameof(length), length, "The length must be a power of two, 4 at least.");
        }

        Length = length;
        _half = length / 2;
        _reversed = new int[_half];
        for (var i = 1; i < _half; i++)
        {
            _reversed[i] = (_reversed[i / 2] / 2) | ((i & 1) * (_half / 2));
        }

        // cos and sin of 2 pi k / length for k below half the length: the butterflies use every second one.
        _cosine = new double[_half];
        _sine = new double[_half];
        for (var k = 0; k < _half; k++)
        {
            (_sine[k], _cosine[k]) = Math.SinCos(Math.Tau * k / length);
        }
    }

    /// <summary>Number of samples.</summary>
    public int Length { get; }

    /// <summary>Samples from their spectrum: <c>x[n] = sum over k of (re[k] cos(2 pi k n / N) - im[k] sin(2 pi k n / N))</c>, k from 1 to N / 2 - 1.</summary>
    /// <param name="real">Cosine parts, N / 2 numbers; the first one (0 Hz) counts as 0.</param>
    /// <param name="imaginary">Sine parts, N / 2 numbers.</param>
    /// <param name="samples">N numbers, overwritten.</param>
    public void ToSamples(ReadOnlySpan<double> real, ReadOnlySpan<double> imaginary, Span<double> samples)
    {
        var re = new double[_half];
        var im = new double[_half];

        // With X[k] the half spectrum (each X twice half as large in the full one): even samples have E[k] = (X[k] + X*[M - k]) / 2, odd ones O[k] = (X[k] - X*[M - k]) / 2 e^(2 pi i k / N).
        for (var k = 1; k < _half; k++)
        {
            var (a, b) = (real[k], imaginary[k]);
            var (c, d) = (real[_half - k], -imaginary[_half - k]);
            var (evenRe, evenIm) = ((a + c) / 2, (b + d) / 2);
            var (differenceRe, differenceIm) = ((a - c) / 2, (b - d) / 2);
            var (oddRe, oddIm) = ((differenceRe * _cosine[k]) - (differenceIm * _sine[k]), (differenceRe * _sine[k]) + (differenceIm * _cosine[k]));
            var place = _reversed[k];
            re[place] = evenRe - oddIm;
            im[place] = evenIm + oddRe;
        }

        Butterflies(re, im, 1);
        for (var n = 0; n < _half; n++)
        {
            samples[2 * n] = re[n];
            samples[(2 * n) + 1] = im[n];
        }
    }

    /// <summary>The spectrum of samples, so that <see cref="ToSamples"/> gives them back but for their mean and their part at half the sample rate.</summary>
    public void ToSpectrum(ReadOnlySpan<double> samples, Span<double> real, Span<double> imaginary)
    {
        var re = new double[_half];
        var im = new double[_half];
        for (var n = 0; n < _half; n++)
        {
            var place = _reversed[n];
            re[place] = samples[2 * n];
            im[place] = samples[(2 * n) + 1];
        }

        Butterflies(re, im, -1);
        real[0] = 0;
        imaginary[0] = 0;
        for (var k = 1; k < _half; k++)
        {
            var (a, b) = (re[k], im[k]);
            var (c, d) = (re[_half - k], -im[_half - k]);
            var (evenRe, evenIm) = ((a + c) / 2, (b + d) / 2);

            // O[k] = -i (Z[k] - Z*[M - k]) / 2, turned back by e^(-2 pi i k / N)
            var (oddRe, oddIm) = ((b - d) / 2, -(a - c) / 2);
            real[k] = 2.0 / Length * (evenRe + (oddRe * _cosine[k]) + (oddIm * _sine[k]));
            imaginary[k] = 2.0 / Length * (evenIm + (oddIm * _cosine[k]) - (oddRe * _sine[k]));
        }
    }

    /// <summary>Decimation in time over numbers in bit-reversed order.</summary>
    private void Butterflies(double[] re, double[] im, int sign)
    {
        for (var half = 1; half < _half; half *= 2)
        {
            // e^(2 pi i j / (2 half)), of a table in steps of 2 pi / length
            var stride = Length / (2 * half);
            for (var start = 0; start < _half; start += 2 * half)
            {
                for (var j = 0; j < half; j++)
                {
                    var (c, s) = (_cosine[j * stride], sign * _sine[j * stride]);
                    var (low, high) = (start + j, start + j + half);
                    var r = (re[high] * c) - (im[high] * s);
                    var i = (re[high] * s) + (im[high] * c);
                    (re[high], im[high]) = (re[low] - r, im[low] - i);
                    (re[low], im[low]) = (re[low] + r, im[low] + i);
                }
            }
        }
    }
}
