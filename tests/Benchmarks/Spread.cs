namespace TeleHearing.Benchmarks;

/// <summary>Percentiles of measured times.</summary>
internal sealed class Spread
{
    private readonly double[] _sorted;

    public Spread(IEnumerable<double> milliseconds) => _sorted = [.. milliseconds.Order()];

    public int Count => _sorted.Length;

    public double P50 => At(0.50);

    public double P99 => At(0.99);

    private double At(double fraction) => _sorted[(int)Math.Ceiling(fraction * _sorted.Length) - 1];
}
