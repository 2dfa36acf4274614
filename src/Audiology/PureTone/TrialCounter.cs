namespace TeleHearing.Audiology.PureTone;

/// <summary>Counts the trials of one measurement, of any procedure, and weighs what they say of the person's answers. Not safe for several threads at once.</summary>
public sealed class TrialCounter
{
    private readonly Dictionary<double, (int Heard, int Missed)> _levels = [];
    private ListenerEvidence _evidence = ListenerEvidence.None;
    private int _tones;
    private int _catchTrials;
    private int _falseResponses;
    private int _earlyPresses;
    private int _noiseVoids;
    private int _reinstructions;
    private double? _masker;
    private double _lowestAscent = double.PositiveInfinity;
    private double _highestAscent = double.NegativeInfinity;
    private double _widestSpanDb;

    /// <summary>Counts a move and what it came to.</summary>
    public void Add(SearchMove move, TrialAnswer answer)
    {
        ArgumentNullException.ThrowIfNull(move);
        switch (move)
        {
            case SearchMove.Reinstruct:
                _reinstructions++;
                EndTrack();
                break;
            case SearchMove.PresentTone or SearchMove.PresentCatch when answer == TrialAnswer.EarlyPress:
                _earlyPresses++;
                break;
            case SearchMove.PresentTone or SearchMove.PresentCatch when answer is TrialAnswer.NoiseVoid or TrialAnswer.OtherVoid:
                _noiseVoids += answer == TrialAnswer.NoiseVoid ? 1 : 0;
                break;
            case SearchMove.PresentCatch:
                _catchTrials++;
                _falseResponses += answer == TrialAnswer.Heard ? 1 : 0;
                break;
            case SearchMove.PresentTone tone:
                AddTone(tone, answer == TrialAnswer.Heard);
                break;
        }
    }

    /// <summary>The counts so far.</summary>
    /// <param name="durationSeconds">Length of the measurement in s, by the clock of whoever drives it.</param>
    public TrialTally Tally(double durationSeconds)
    {
        var silences = ListenerEvidence.OfSilences(_catchTrials, _falseResponses, _tones + _catchTrials + _earlyPresses, _earlyPresses);
        return new TrialTally(_tones, _catchTrials, _falseResponses, _earlyPresses, _noiseVoids, Math.Max(_widestSpanDb, SpanDb), durationSeconds)
        {
            Reinstructions = _reinstructions,
            Evidence = _evidence.And(ListenerEvidence.OfTones(_levels)).And(silences),
        };
    }

    private double SpanDb => _highestAscent >= _lowestAscent ? _highestAscent - _lowestAscent : 0;

    private void AddTone(SearchMove.PresentTone tone, bool heard)
    {
        // Another masker makes another threshold: what was answered under it belongs to a track of its own.
        if (tone.MaskerDbEm != _masker)
        {
            EndTrack();
            _masker = tone.MaskerDbEm;
        }

        _tones++;
        var level = tone.Level.Decibels;
        if (tone.MaskerDbEm is null)
        {
            // A masked measurement is many short tracks, each with a threshold of its own to be explained, and where it stops depends on the answers: added up they would make
            // of every person masked an inconsistent one.
            var (times, missed) = _levels.GetValueOrDefault(level);
            _levels[level] = heard ? (times + 1, missed) : (times, missed + 1);
        }

        if (tone.Ascending && heard)
        {
            _lowestAscent = Math.Min(_lowestAscent, level);
            _highestAscent = Math.Max(_highestAscent, level);
        }
    }

    private void EndTrack()
    {
        _widestSpanDb = Math.Max(_widestSpanDb, SpanDb);
        (_lowestAscent, _highestAscent) = (double.PositiveInfinity, double.NegativeInfinity);
        _evidence = _evidence.And(ListenerEvidence.OfTones(_levels));
        _levels.Clear();
    }
}
