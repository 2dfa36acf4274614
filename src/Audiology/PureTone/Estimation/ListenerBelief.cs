namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>What is believed of how a person responds, whatever the frequency: a weight for every combination of spread, lapse and false-alarm rate of the grid.</summary>
internal sealed class ListenerBelief
{
    // What a frequency taught is carried to the next, but not wholly: a person tires, and spreads differ between frequencies. A design choice.
    private const double Kept = 0.8;

    // Weights of the values of the grid, design choices: spreads of 1 to 4 dB alike; lapses and false alarms the rarer the more of them.
    private static readonly double[] _spreads = [1, 1, 1, 1, 0.5, 0.05];
    private static readonly double[] _lapses = [0.5, 0.44, 0.05, 0.01];
    private static readonly double[] _falseAlarms = [0.33, 0.32, 0.28, 0.05, 0.015, 0.005];

    private readonly double[] _weights;

    private ListenerBelief(double[] weights) => _weights = weights;

    /// <summary>Nothing known of the person.</summary>
    public static ListenerBelief Unknown { get; } = Before();

    /// <summary>Weights in the order of the grid.</summary>
    public ReadOnlySpan<double> Weights => _weights;

    /// <summary>What is left, for another frequency, of what a posterior has learned.</summary>
    public static ListenerBelief After(ThresholdPosterior posterior)
    {
        var weights = new double[posterior.Grid.Listeners];
        posterior.CopyListeners(weights);
        for (var i = 0; i < weights.Length; i++)
        {
            weights[i] = (Kept * weights[i]) + ((1 - Kept) * Unknown._weights[i]);
        }

        return new(weights);
    }

    private static ListenerBelief Before()
    {
        double[] weights = [.. from spread in _spreads from lapse in _lapses from guess in _falseAlarms select spread * lapse * guess];
        var sum = weights.Sum();
        return new([.. weights.Select(weight => weight / sum)]);
    }
}
