namespace TeleHearing.Audiology.PureTone;

/// <summary>Brackets one threshold: ascend to a response, raise, descend to a miss, lower, and again; the threshold is the mean of what the ascents and the descents ended at.</summary>
/// <remarks>
/// <para>ISO 8253-1:2010, 6.2.3: three ascents and three descents, in the short form two of each when their four ends lie within 5 dB; rounded to the nearest step, a half
/// upwards (common practice). The moves between them are from memory: after a response one step up, then down step by step to a miss, one step lower still, then up again. A
/// span of more than 10 dB is doubtful: the measurement is repeated once, and a second doubtful one is kept and noted.</para>
/// <para>The first ascent begins 10 dB below the familiarisation response, lower if that is heard too. At the lowest level allowed there is nothing below: a descent ends there, and a
/// response there ends an ascent. With a step finer than 5 dB the first ascent is made in published steps and does not count (common practice).</para>
/// <para>Every bracketing ends: tones, voids, catch trials and restarts are each bounded. Not safe for several threads at once.</para>
/// </remarks>
public sealed class BracketingSearch : IThresholdProcedure
{
    private const double ApproachDownDb = 10;

    private readonly SearchSettings _settings;
    private readonly TrialGuard _guard;
    private readonly NoiseFloor _floor;
    private readonly BracketTally _tally;
    private readonly double _maximum;
    private readonly double _approachUpDb;
    private Phase _phase;
    private double _level;
    private bool _missedBelow;
    private bool _repeated;
    private bool _missedAtMaximum;
    private int _maximumHeard;
    private int _maximumMissed;
    private double _descentEnd;
    private double? _lowestHeard;

    /// <summary>Prepares a bracketing.</summary>
    /// <param name="settings">Levels and limits. <see cref="StoppingRule.ThreeOfFive"/> stands for the full form, the other rules for the short one.</param>
    /// <param name="random">Seeded source of the catch trials.</param>
    /// <exception cref="ArgumentOutOfRangeException">A setting is outside its range.</exception>
    public BracketingSearch(SearchSettings settings, Random random)
    {
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(random);
        SearchSettingsRules.ThrowIfUnusable(settings);
        _settings = settings;
        _guard = new TrialGuard(settings, random);
        _floor = new NoiseFloor(settings);
        _tally = new BracketTally(settings.Rule != StoppingRule.ThreeOfFive);
        _maximum = HearingLevels.RoundDownToStep(settings.MaximumDbHl, settings.StepDb);
        _approachUpDb = HearingLevels.RoundDownToStep(HearingLevels.StepDb, settings.StepDb);
        Next = _floor.LevelDbHl > Math.Min(_maximum, settings.FamiliarisationSecondDbHl)
            ? TrialGuard.EndedByRoom(_floor.LevelDbHl)
            : Begin();
    }

    private enum Phase
    {
        Familiarise,
        Approach,
        Ascend,
        Raise,
        Descend,
    }

    /// <inheritdoc />
    public SearchMove Next { get; private set; }

    /// <summary>Highest less lowest of the averaged levels, dB.</summary>
    public double SpanDb => _tally.SpanDb;

    /// <summary>Whether the averaged levels span more than 10 dB, after a repetition as well: the result stands, with this note (ISO 8253-1:2010, 6.2.3).</summary>
    public bool Doubtful => _tally.Complete && _tally.Doubtful;

    /// <inheritdoc />
    public void Record(TrialAnswer answer)
    {
        Next = (Next, answer) switch
        {
            (SearchMove.Finished, _) => throw new InvalidOperationException("The search is over; nothing can be recorded any more."),
            (SearchMove.Reinstruct, _) => Restart(),
            (SearchMove.PresentCatch, TrialAnswer.Heard) or (_, TrialAnswer.EarlyPress) => _guard.NoteFalseResponse() ?? Tone(),
            (SearchMove.PresentCatch, _) => Calm(Tone),
            (_, TrialAnswer.NoiseVoid or TrialAnswer.OtherVoid) => AfterVoid(answer == TrialAnswer.NoiseVoid),
            _ => Calm(() => AfterAnswer(answer == TrialAnswer.Heard)),
        };
    }

    private SearchMove Calm(Func<SearchMove> then)
    {
        _guard.NoteCalm();
        return then();
    }

    private SearchMove Begin()
    {
        (_phase, _missedBelow, _repeated, _missedAtMaximum, _maximumHeard, _maximumMissed, _lowestHeard) = (Phase.Familiarise, false, false, false, 0, 0, null);
        _level = Familiarisation.FirstDbHl(_settings, _floor.LevelDbHl, _maximum);
        return Tone();
    }

    private SearchMove Restart()
    {
        _guard.Restart();
        _tally.Clear();
        return Begin();
    }

    private SearchMove AfterVoid(bool noise)
    {
        if (noise && _floor.RisesAfterVoidAt(_level))
        {
            _level = Math.Min(_floor.LevelDbHl, _maximum);
        }

        return _guard.AfterVoid(noise, _floor.LevelDbHl, _maximum, _lowestHeard) ?? Tone();
    }

    private SearchMove AfterAnswer(bool heard)
    {
        _floor.NoteValid();
        var tooMany = _guard.NoteTone();
        if (heard)
        {
            _lowestHeard = Math.Min(_lowestHeard ?? _level, _level);
        }

        if (NoResponse(heard))
        {
            return new SearchMove.Finished(new ThresholdOutcome.NoResponseAtLimit(_maximum));
        }

        Choose(heard);
        if (_tally.Complete)
        {
            if (!_tally.Doubtful || _repeated)
            {
                return new SearchMove.Finished(Found(HearingLevels.RoundToStep(_tally.MeanDbHl, _settings.StepDb)));
            }

            _repeated = true;
            _tally.Clear();
        }

        return tooMany ? _guard.EndedByTones() : _guard.CatchOrTone(_level, Counts);
    }

    // Twice in a row, or twice and more often than heard: with a threshold just at the limit the bracketing would go round in circles.
    private bool NoResponse(bool heard)
    {
        var atMaximum = _level >= _maximum;
        _maximumHeard += atMaximum && heard ? 1 : 0;
        _maximumMissed += atMaximum && !heard ? 1 : 0;
        var missed = atMaximum && !heard;
        var ended = missed && (_missedAtMaximum || (_maximumMissed >= 2 && _maximumMissed > _maximumHeard));
        _missedAtMaximum = missed;
        return ended;
    }

    private void Choose(bool heard)
    {
        switch (_phase)
        {
            case Phase.Familiarise when !heard:
                MoveTo(Familiarisation.AfterMissDbHl(_settings, _level));
                break;
            case Phase.Familiarise:
                _phase = _settings.StepDb < HearingLevels.StepDb ? Phase.Approach : Phase.Ascend;
                MoveTo(_level - ApproachDownDb);
                break;
            case Phase.Approach:
                Approach(heard);
                break;
            case Phase.Ascend:
                Ascend(heard);
                break;
            default:
                Descend(heard);
                break;
        }
    }

    private void Approach(bool heard)
    {
        if (!heard)
        {
            _missedBelow = true;
            MoveTo(_level + _approachUpDb);
        }
        else if (_missedBelow || _level <= _floor.LevelDbHl)
        {
            BeginDescent();
        }
        else
        {
            MoveTo(_level - ApproachDownDb);
        }
    }

    private void Ascend(bool heard)
    {
        if (!heard)
        {
            _missedBelow = true;
            MoveTo(_level + _settings.UpDb);
        }
        else if (_missedBelow || _level <= _floor.LevelDbHl)
        {
            _tally.AddAscent(_level);
            BeginDescent();
        }
        else
        {
            MoveTo(_level - (_tally.IsEmpty ? ApproachDownDb : _settings.UpDb));
        }
    }

    private void BeginDescent()
    {
        _phase = Phase.Raise;
        MoveTo(_level + _settings.UpDb);
    }

    private void Descend(bool heard)
    {
        if (heard)
        {
            _phase = Phase.Descend;
            _descentEnd = _level;
            if (_level > _floor.LevelDbHl)
            {
                MoveTo(_level - _settings.UpDb);
                return;
            }
        }
        else if (_phase == Phase.Raise)
        {
            // No descent can begin from a level that is not heard.
            MoveTo(_level + _settings.UpDb);
            return;
        }

        _tally.AddDescent(_descentEnd);
        (_phase, _missedBelow) = (Phase.Ascend, false);
        MoveTo(_level - _settings.UpDb);
    }

    private bool Counts => (_phase == Phase.Ascend && _missedBelow) || (_phase != Phase.Familiarise && _level <= _floor.LevelDbHl);

    private void MoveTo(double levelDbHl) => _level = Math.Clamp(levelDbHl, _floor.LevelDbHl, _maximum);

    private ThresholdOutcome Found(double levelDbHl)
    {
        var shown = Math.Max(levelDbHl, _floor.LevelDbHl);
        return _floor.Limits(shown) ? new ThresholdOutcome.NoiseLimited(shown) : new ThresholdOutcome.Established(shown);
    }

    private SearchMove Tone() => _guard.Tone(_level, Counts);
}
