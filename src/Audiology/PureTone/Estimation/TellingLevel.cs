namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>Finds the level whose answer is expected to tell most of the threshold.</summary>
/// <remarks>One step ahead: looking further costs much and gains little where an answer is only yes or no (a design choice, borne out by the number of tones in docs/validation/estimation.md).</remarks>
internal sealed class TellingLevel(ThresholdPosterior posterior, double stepDb)
{
    private readonly int _step = (int)stepDb;

    /// <summary>The level, dB HL; the lowest of those that tell alike.</summary>
    /// <param name="lowestDbHl">Lowest level allowed, on the step.</param>
    /// <param name="highestDbHl">Highest level allowed.</param>
    public int Choose(int lowestDbHl, int highestDbHl)
    {
        var (best, most) = (lowestDbHl, double.NegativeInfinity);
        for (var level = lowestDbHl; level <= highestDbHl; level += _step)
        {
            var information = posterior.Information(level);
            if (information > most)
            {
                (best, most) = (level, information);
            }
        }

        return best;
    }
}
