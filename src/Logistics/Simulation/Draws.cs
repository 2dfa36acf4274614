namespace TeleHearing.Logistics.Simulation;

/// <summary>Random lengths of time, drawn from a source that was seeded by whoever passes it in.</summary>
internal static class Draws
{
    public static double Exponential(Random random, double mean)
    {
        ArgumentNullException.ThrowIfNull(random);

        // 1 - u is never 0, so that the logarithm is finite.
        return -mean * Math.Log(1 - random.NextDouble());
    }

    public static double LogNormal(Random random, double mean, double variation)
    {
        // With sigma^2 = ln(1 + cv^2) and mu = ln(mean) - sigma^2 / 2 the mean and the variation are those asked for.
        var variance = Math.Log(1 + (variation * variation));
        return mean * Math.Exp((Math.Sqrt(variance) * Normal(random)) - (variance / 2));
    }

    // Box and Muller 1958; the second number of the pair is not kept, so that a draw depends on the source alone.
    private static double Normal(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
