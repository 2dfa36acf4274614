using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Masking;

/// <summary>Measures the threshold at one level of the masker by the same rule as an unmasked one: 10 dB down after a response, 5 dB up after a miss.</summary>
internal sealed class MaskedAscent
{
    private const double DownDb = 10;
    private const double UpDb = 5;

    private readonly AscentTally _tally;
    private readonly double _lowest;
    private readonly double _highest;
    private bool _counts;

    public MaskedAscent(StoppingRule rule, double startDbHl, double lowestDbHl, double highestDbHl)
    {
        _tally = new AscentTally(rule);
        (_lowest, _highest) = (lowestDbHl, highestDbHl);
        MoveTo(startDbHl, ascending: false);
    }

    /// <summary>Level to present, dB HL.</summary>
    public double LevelDbHl { get; private set; }

    /// <summary>Whether a response counts towards the threshold.</summary>
    public bool Counts => _counts;

    /// <inheritdoc cref="AscentTally.SpanDb"/>
    public double SpanDb => _tally.SpanDb;

    /// <summary>Adds an answer. The threshold in dB HL once the rule is met, none before.</summary>
    public double? Add(bool heard)
    {
        if (_counts && _tally.Add(LevelDbHl, heard))
        {
            return LevelDbHl;
        }

        if (heard && _tally.SeriesFailed)
        {
            _tally.BeginSeries();
            MoveTo(LevelDbHl + DownDb, ascending: false);
        }
        else
        {
            MoveTo(heard ? LevelDbHl - DownDb : LevelDbHl + UpDb, ascending: !heard);
        }

        return null;
    }

    /// <summary>Whether the highest level was missed twice or more, and more often than heard.</summary>
    public bool MostlyMissedAtHighest => _tally.MostlyMissedAt(_highest);

    private void MoveTo(double levelDbHl, bool ascending)
    {
        // At the highest level a repeat after a miss counts too: nothing above could decide whether it is heard.
        LevelDbHl = Math.Clamp(levelDbHl, _lowest, _highest);
        _counts = ascending || LevelDbHl <= _lowest;
    }
}
