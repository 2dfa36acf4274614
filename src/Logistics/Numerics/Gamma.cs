namespace TeleHearing.Logistics.Numerics;

/// <summary>The gamma function's logarithm and its regularised incomplete forms: what Poisson sums and their exact intervals are made of.</summary>
internal static class Gamma
{
    private const double Epsilon = 1e-16;

    /// <summary>Terms after which a sum is given up; a sum over a million events needs some ten thousand.</summary>
    private const int MostTerms = 1_000_000;

    // Lanczos' approximation with g = 7 and nine terms, right to about fifteen digits (Press et al., Numerical Recipes; coefficients of Godfrey, from memory, checked against factorials in the tests).
    private const double LanczosG = 7;

    private static readonly double[] _lanczos =
    [
        0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
        12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
    ];

    /// <summary>Natural logarithm of the gamma function above 0.</summary>
    public static double Log(double x)
    {
        if (x < 0.5)
        {
            return Math.Log(Math.PI / Math.Sin(Math.PI * x)) - Log(1 - x);
        }

        var shifted = x - 1;
        var sum = _lanczos[0];
        for (var i = 1; i < _lanczos.Length; i++)
        {
            sum += _lanczos[i] / (shifted + i);
        }

        var t = shifted + LanczosG + 0.5;
        return (0.5 * Math.Log(2 * Math.PI)) + ((shifted + 0.5) * Math.Log(t)) - t + Math.Log(sum);
    }

    /// <summary>Share of the gamma distribution of a shape that lies below x: P(a, x).</summary>
    public static double RegularisedLower(double shape, double x) => x < shape + 1 ? Series(shape, x) : 1 - Fraction(shape, x);

    /// <summary>Share above x: Q(a, x) = 1 - P(a, x), without the loss of digits of the subtraction.</summary>
    public static double RegularisedUpper(double shape, double x) => x < shape + 1 ? 1 - Series(shape, x) : Fraction(shape, x);

    /// <summary>The x below which a share of the gamma distribution of a shape lies, by halving.</summary>
    public static double Quantile(double shape, double share) => Halving.Solve(x => RegularisedLower(shape, x), share, Math.Max(1, shape));

    private static double Series(double shape, double x)
    {
        if (x <= 0)
        {
            return 0;
        }

        var (term, sum) = (1 / shape, 1 / shape);
        for (var n = 1; n < MostTerms && term > sum * Epsilon; n++)
        {
            term *= x / (shape + n);
            sum += term;
        }

        return sum * Front(shape, x);
    }

    // Lentz's form of the continued fraction.
    private static double Fraction(double shape, double x)
    {
        const double tiny = 1e-300;
        var b = x + 1 - shape;
        var c = 1 / tiny;
        var d = 1 / b;
        var result = d;
        for (var n = 1; n < MostTerms; n++)
        {
            var a = -n * (n - shape);
            b += 2;
            d = 1 / NotZero((a * d) + b);
            c = NotZero(b + (a / c));
            var change = d * c;
            result *= change;
            if (Math.Abs(change - 1) < 4 * Epsilon)
            {
                break;
            }
        }

        return result * Front(shape, x);

        static double NotZero(double value) => Math.Abs(value) < tiny ? tiny : value;
    }

    private static double Front(double shape, double x) => Math.Exp((shape * Math.Log(x)) - x - Log(shape));
}
