namespace TeleHearing.Audiology.Simulation;

/// <summary>Tells a tone from a noise by how even its power is from one handful of cycles to the next.</summary>
/// <remarks>
/// The power of a tone, of a warble tone too, is the same in every group of whole cycles. That of a noise wanders: in a group of bandwidth times time BT its standard deviation is about
/// 1 / sqrt(BT) of its mean (handbook formula for band-limited noise), and a group here has BT of about 0.5 for a third of an octave and about 10 for white noise.
/// </remarks>
internal sealed class EvennessMeter
{
    /// <summary>Standard deviation over mean above which it is noise. Tones stay below 0.05; white noise, the most even one, has about 0.3.</summary>
    private const double MostOfATone = 0.15;

    private const int LeastCycles = 2;
    private const int LeastFrames = 24;

    private readonly List<Group> _groups = [];
    private double _energy;
    private long _started = -1;
    private long _frame;
    private int _cycles;
    private float _previous;

    /// <summary>Takes in samples of a sound.</summary>
    public void Add(ReadOnlySpan<float> samples)
    {
        foreach (var sample in samples)
        {
            if (_previous < 0 && sample >= 0)
            {
                Cross();
            }

            _energy += (double)sample * sample;
            _previous = sample;
            _frame++;
        }
    }

    /// <summary>Forgets the sound.</summary>
    public void Clear()
    {
        _groups.Clear();
        (_energy, _started, _frame, _cycles, _previous) = (0, -1, 0, 0, 0);
    }

    /// <summary>Whether the sound between two frames, counted from its first, is a noise. A sound too short to tell is none.</summary>
    public bool IsNoise(long fromFrame, long toFrame)
    {
        var powers = _groups.Where(group => group.Start >= fromFrame && group.End <= toFrame).Select(group => group.MeanSquare).ToList();
        if (powers.Count < 3)
        {
            return false;
        }

        var mean = powers.Average();
        return Math.Sqrt(powers.Average(power => (power - mean) * (power - mean))) > MostOfATone * mean;
    }

    private void Cross()
    {
        if (_started >= 0 && ++_cycles >= LeastCycles && _frame - _started >= LeastFrames)
        {
            _groups.Add(new Group(_started, _frame, _energy / (_frame - _started)));
        }
        else if (_started >= 0)
        {
            return;
        }

        (_started, _energy, _cycles) = (_frame, 0, 0);
    }

    private readonly record struct Group(long Start, long End, double MeanSquare);
}
