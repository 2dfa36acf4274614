namespace TeleHearing.Logistics.Numerics;

/// <summary>The regularised incomplete beta function I(x; a, b), by its continued fraction (Press et al., Numerical Recipes, 6.4).</summary>
internal static class IncompleteBeta
{
    private const int MostTerms = 100_000;

    public static double Regularised(double a, double b, double x)
    {
        if (x <= 0)
        {
            return 0;
        }

        if (x >= 1)
        {
            return 1;
        }

        var front = Math.Exp(Gamma.Log(a + b) - Gamma.Log(a) - Gamma.Log(b) + (a * Math.Log(x)) + (b * Math.Log(1 - x)));

        // The fraction closes in quickly only below the mean; above it the mirror image does.
        return x < (a + 1) / (a + b + 2) ? front * Fraction(a, b, x) / a : 1 - (front * Fraction(b, a, 1 - x) / b);
    }

    private static double Fraction(double a, double b, double x)
    {
        var c = 1.0;
        var d = 1 / NotZero(1 - ((a + b) * x / (a + 1)));
        var result = d;
        for (var m = 1; m < MostTerms; m++)
        {
            var even = m * (b - m) * x / ((a + (2 * m) - 1) * (a + (2 * m)));
            d = 1 / NotZero(1 + (even * d));
            c = NotZero(1 + (even / c));
            result *= d * c;

            var odd = -(a + m) * (a + b + m) * x / ((a + (2 * m)) * (a + (2 * m) + 1));
            d = 1 / NotZero(1 + (odd * d));
            c = NotZero(1 + (odd / c));
            result *= d * c;
            if (Math.Abs((d * c) - 1) < 1e-15)
            {
                break;
            }
        }

        return result;
    }

    private static double NotZero(double value) => Math.Abs(value) < 1e-300 ? 1e-300 : value;
}
