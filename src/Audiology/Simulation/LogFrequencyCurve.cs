namespace TeleHearing.Audiology.Simulation;

/// <summary>A curve given at some frequencies: straight between them over the logarithm of frequency, level beyond them.</summary>
internal sealed class LogFrequencyCurve
{
    private readonly double[] _logHertz;
    private readonly double[] _values;

    public LogFrequencyCurve(IEnumerable<(double Hertz, double Value)> points)
    {
        var sorted = points.OrderBy(point => point.Hertz).ToList();
        if (sorted.Count == 0 || sorted.Exists(point => !(point.Hertz > 0) || !double.IsFinite(point.Hertz) || !double.IsFinite(point.Value)))
        {
            throw new ArgumentException("A curve needs at least one point, and finite numbers.", nameof(points));
        }

        _logHertz = [.. sorted.Select(point => Math.Log(point.Hertz))];
        _values = [.. sorted.Select(point => point.Value)];
    }

    /// <summary>The highest value given.</summary>
    public double Highest => _values.Max();

    /// <summary>The value at a frequency in Hz.</summary>
    public double At(double hertz)
    {
        var x = Math.Log(hertz);
        var above = Array.FindIndex(_logHertz, known => known >= x);
        if (above < 0)
        {
            return _values[^1];
        }

        if (above == 0)
        {
            return _values[0];
        }

        var weight = (x - _logHertz[above - 1]) / (_logHertz[above] - _logHertz[above - 1]);
        return _values[above - 1] + (weight * (_values[above] - _values[above - 1]));
    }
}
