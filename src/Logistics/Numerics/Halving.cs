namespace TeleHearing.Logistics.Numerics;

/// <summary>Finds where a function that rises from 0 to 1 over positive numbers has a value.</summary>
internal static class Halving
{
    /// <summary>The x at which the function reaches a share, right to about thirteen digits.</summary>
    /// <param name="rising">The function, rising.</param>
    /// <param name="share">Above 0 and below 1.</param>
    /// <param name="guess">Size of the answer, roughly; above 0.</param>
    public static double Solve(Func<double, double> rising, double share, double guess)
    {
        var (low, high) = (0.0, guess);
        while (rising(high) < share && high < 1e300)
        {
            (low, high) = (high, high * 2);
        }

        for (var step = 0; step < 200 && high - low > high * 1e-14; step++)
        {
            var middle = low + ((high - low) / 2);
            (low, high) = rising(middle) < share ? (middle, high) : (low, middle);
        }

        return low + ((high - low) / 2);
    }
}
