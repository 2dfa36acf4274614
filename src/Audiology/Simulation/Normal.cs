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

    /// <summary>One standard normal variate (Box and Muller 1958); always takes two numbers from the source.</summary>
    public static double Next(Random random)
    {
        var radius = Math.Sqrt(-2 * Math.Log(1 - random.NextDouble()));
        return radius * Math.Cos(Math.Tau * random.NextDouble());
    }
}
