namespace TeleHearing.Audiology.Simulation;

/// <summary>The standard normal distribution.</summary>
internal static class Normal
{
    /// <summary>Phi(z), to 7.5e-8 (Abramowitz and Stegun, Handbook of Mathematical Functions, 26.2.17).</summary>
    public static double Cumulative(double z)
    {
        if (z < 0)
        {
            return 1 - Cumulative(-z);
        }

        if (z > 38)
        {
            return 1;
        }

        var t = 1 / (1 + (0.2316419 * z));
        var tail = t * (0.319381530 + (t * (-0.356563782 + (t * (1.781477937 + (t * (-1.821255978 + (t * 1.330274429))))))));
        return 1 - (Math.Exp(-z * z / 2) / Math.Sqrt(Math.Tau) * tail);
    }

    /// <summary>The z with Phi(z) equal to a share, to about 1e-7 (Wichura 1988, Applied Statistics 37:477, algorithm AS 241, PPND7).</summary>
    /// <param name="share">Share below z, above 0 and below 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">The share is 0, 1, outside or no number.</exception>
    public static double Quantile(double share)
    {
        if (!(share > 0 && share < 1))
        {
            throw new ArgumentOutOfRangeException(nameof(share), share, "A share must be above 0 and below 1.");
        }

        var q = share - 0.5;
        if (Math.Abs(q) <= 0.425)
        {
            var r = 0.180625 - (q * q);
            return q * (3.3871327179 + (r * (50.434271938 + (r * (159.29113202 + (r * 59.109374720))))))
                / (1 + (r * (17.895169469 + (r * (78.757757664 + (r * 67.187563600))))));
        }

        var root = Math.Sqrt(-Math.Log(Math.Min(share, 1 - share)));
        var tail = root <= 5 ? MiddleTail(root - 1.6) : FarTail(root - 5);
        return q < 0 ? -tail : tail;
    }

    /// <summary>One standard normal variate (Box and Muller 1958); always takes two numbers from the source.</summary>
    public static double Next(Random random)
    {
        var radius = Math.Sqrt(-2 * Math.Log(1 - random.NextDouble()));
        return radius * Math.Cos(Math.Tau * random.NextDouble());
    }

    private static double MiddleTail(double r) =>
        (1.4234372777 + (r * (2.7568153900 + (r * (1.3067284816 + (r * 0.17023821103))))))
        / (1 + (r * (0.73700164250 + (r * 0.12021132975))));

    private static double FarTail(double r) =>
        (6.6579051150 + (r * (3.0812263860 + (r * (0.42868294337 + (r * 0.017337203997))))))
        / (1 + (r * (0.24197894225 + (r * 0.012258202635))));
}
