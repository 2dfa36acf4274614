namespace TeleHearing.Audiology.Acoustics;

/// <summary>How often levels occurred, in steps of a tenth of a decibel: percentiles without keeping every level.</summary>
internal sealed class LevelHistogram
{
    private const double LowestDb = -100;
    private const double HighestDb = 200;
    private const double StepDb = 0.1;
    private readonly long[] _counts = new long[(int)((HighestDb - LowestDb) / StepDb) + 1];

    public long Count { get; private set; }

    public void Add(double levelDb)
    {
        _counts[Math.Clamp((int)Math.Round((levelDb - LowestDb) / StepDb), 0, _counts.Length - 1)]++;
        Count++;
    }

    public void Clear()
    {
        Array.Clear(_counts);
        Count = 0;
    }

    /// <summary>The level exceeded in this part of the time; absent before the first level.</summary>
    /// <param name="percent">0 to 100: 10 gives a level near the maximum, 90 one near the minimum.</param>
    public double? Exceeded(double percent)
    {
        if (Count == 0)
        {
            return null;
        }

        var above = 0L;
        for (var index = _counts.Length - 1; index > 0; index--)
        {
            above += _counts[index];
            if (above > Count * percent / 100)
            {
                return LowestDb + (index * StepDb);
            }
        }

        return LowestDb;
    }
}
