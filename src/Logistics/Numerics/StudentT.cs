namespace TeleHearing.Logistics.Numerics;

/// <summary>Student's t: how far a mean of a few numbers may be from the truth.</summary>
internal static class StudentT
{
    /// <summary>Half width of an interval around a mean, in standard errors.</summary>
    /// <param name="degreesOfFreedom">Numbers less one, 1 or more.</param>
    /// <param name="confidence">Share of such intervals that hold the truth, above 0 and below 1.</param>
    public static double TwoSided(int degreesOfFreedom, double confidence) => Halving.Solve(t => WithinT(t, degreesOfFreedom), confidence, 1);

    /// <summary>Probability that |t| is below a value.</summary>
    private static double WithinT(double t, int degreesOfFreedom) =>
        IncompleteBeta.Regularised(0.5, degreesOfFreedom / 2.0, t * t / (degreesOfFreedom + (t * t)));
}
