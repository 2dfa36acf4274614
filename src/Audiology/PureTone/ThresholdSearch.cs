namespace TeleHearing.Audiology.PureTone;

/// <summary>Searches one threshold: familiarise, then 10 dB down after a response and 5 dB up after a miss, until the stopping rule is met.</summary>
/// <remarks>
/// <para>ASHA 2005 (from memory) and ISO 8253-1:2010, 6.2.3. Both begin 10 dB below the familiarisation response. Only responses on an ascent
/// count: the presentation before was 5 dB lower and missed. At the lowest level allowed there is nothing below to ascend from, so every
/// presentation there counts.</para>
/// <para>With a step finer than 5 dB the threshold is approached in the published steps, which do not count; then the search goes on with two fine steps down and one up
/// (common practice). Should it rise 10 dB without a response, it is approached anew.</para>
/// <para>Ask <see cref="Next"/>, carry it out, tell the result to <see cref="Record"/>, until the move is <see cref="SearchMove.Finished"/>. Every search ends:
/// tones, voids, catch trials and restarts are each bounded. Not safe for several threads at once.</para>
/// </remarks>
public sealed class ThresholdSearch : IThresholdProcedure
{
    // Way to the threshold when the step is finer than the published one (common practice).
    private const double ApproachDownDb = 10;
    private const double ApproachAgainAfterDb = 10;

    private readonly SearchSettings _settings;
    private readonly TrialGuard _guard;
    private readonly NoiseFloor _floor;
    private readonly AscentTally _tally;
    private readonly double _maximum;
    private readonly double _approachUpDb;
    private bool _familiarising;
    private bool _approaching;
    private bool _missedAtMaximum;
    private bool _roseToLevel;
    private double _risenDb;
    private double? _lowestHeard;
    private double? _lastHeard;
    private double _level;
    private bool _counts;

    /// <summary>Prepares a search.</summary>
    /// <param name="settings">Levels and limits.</param>
    /// <param name="random">Seeded source of the catch trials.</param>
    /// <exception cref="ArgumentOutOfRangeException">A setting is outside its range.</exception>
    public ThresholdSearch(SearchSettings settings, Random random)
    {
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(random);
        SearchSettingsRules.ThrowIfUnusable(settings);
        _settings = settings;
        _guard = new TrialGuard(settings, random);
        _floor = new NoiseFloor(settings);
        _tally = new AscentTally(settings.Rule);
        _maximum = HearingLevels.RoundDownToStep(settings.MaximumDbHl, settings.StepDb);
        _approachUpDb = HearingLevels.RoundDownToStep(HearingLevels.StepDb, settings.StepDb);
        Next = _floor.LevelDbHl > Math.Min(_maximum, settings.FamiliarisationSecondDbHl)
            ? TrialGuard.EndedByRoom(_floor.LevelDbHl)
            : Begin();
    }

    /// <inheritdoc />
    public SearchMove Next { get; private set; }

    /// <summary>Highest less lowest level at which an ascent of the series that counts ended in a response, dB. Over 10 dB the result is doubtful (ISO 8253-1:2010, 6.2.3).</summary>
    public double AscentSpanDb => _tally.SpanDb;

    /// <inheritdoc />
    public void Record(TrialAnswer answer)
    {
        Next = Next switch
        {
            SearchMove.Finished => throw new InvalidOperationException("The search is over; nothing can be recorded any more."),
            SearchMove.Reinstruct => Restart(),
            SearchMove.PresentCatch => AfterCatch(answer),
            _ => AfterTone(answer),
        };
    }

    private SearchMove Begin()
    {
        (_familiarising, _approaching, _missedAtMaximum, _roseToLevel, _counts) = (true, _settings.StepDb < HearingLevels.StepDb, false, false, false);
        (_lowestHeard, _lastHeard, _risenDb) = (null, null, 0);
        _level = Familiarisation.FirstDbHl(_settings, _floor.LevelDbHl, _maximum);
        return Tone();
    }

    private SearchMove Restart()
    {
        _guard.Restart();
        _tally.BeginSeries();
        return Begin();
    }

    private SearchMove AfterCatch(TrialAnswer answer)
    {
        // A spoiled catch trial is not repeated: it has no bearing on the threshold.
        if (answer is TrialAnswer.Heard or TrialAnswer.EarlyPress)
        {
            return _guard.NoteFalseResponse() ?? Tone();
        }

        _guard.NoteCalm();
        return Tone();
    }

    private SearchMove AfterTone(TrialAnswer answer)
    {
        switch (answer)
        {
            case TrialAnswer.EarlyPress:
                return _guard.NoteFalseResponse() ?? Tone();
            case TrialAnswer.NoiseVoid or TrialAnswer.OtherVoid:
                return AfterVoid(answer == TrialAnswer.NoiseVoid);
            default:
                _guard.NoteCalm();
                return AfterAnswer(answer == TrialAnswer.Heard);
        }
    }

    private SearchMove AfterVoid(bool noise)
    {
        if (noise && _floor.RisesAfterVoidAt(_level))
        {
            // What was shown in quiet before stays counted; the search goes on above what the noise hides.
            _level = Math.Min(_floor.LevelDbHl, _maximum);
            _counts = !_familiarising;
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
            _lastHeard = _level;
        }

        if (_counts && _tally.Add(_level, heard))
        {
            return new SearchMove.Finished(Found(_level));
        }

        // Twice in a row, or on two ascents that outnumber the responses there: with a threshold just at the limit the search would go round in circles.
        var missedAtMaximum = !heard && _level >= _maximum;
        if (missedAtMaximum && (_missedAtMaximum || _tally.MostlyMissedAt(_maximum)))
        {
            return new SearchMove.Finished(new ThresholdOutcome.NoResponseAtLimit(_maximum));
        }

        _missedAtMaximum = missedAtMaximum;
        if (tooMany)
        {
            return _guard.EndedByTones();
        }

        if (heard)
        {
            ChooseAfterResponse();
        }
        else
        {
            ChooseAfterMiss();
        }

        return _guard.CatchOrTone(_level, _counts);
    }

    private void ChooseAfterMiss()
    {
        if (_familiarising)
        {
            MoveTo(Familiarisation.AfterMissDbHl(_settings, _level), counts: false);
            return;
        }

        if (_approaching)
        {
            MoveTo(_level + _approachUpDb, counts: false);
            _roseToLevel = true;
            return;
        }

        // A repeat at the maximum is not reached from below and counts for nothing but the limit.
        MoveTo(_level + _settings.UpDb, counts: _level < _maximum);
        _risenDb += _settings.UpDb;
        _approaching = _roseToLevel = _settings.StepDb < HearingLevels.StepDb && _risenDb >= ApproachAgainAfterDb;
    }

    private void ChooseAfterResponse()
    {
        _familiarising = false;
        _risenDb = 0;
        if (_tally.SeriesFailed)
        {
            _tally.BeginSeries();
            (_approaching, _roseToLevel) = (_settings.StepDb < HearingLevels.StepDb, false);
            MoveTo(_lastHeard!.Value + _settings.NewSeriesRiseDb, counts: false);
            return;
        }

        // The first response on the way up is near the threshold: from there on the fine steps count.
        _approaching &= !_roseToLevel;
        _roseToLevel = false;
        MoveTo(_level - (_approaching ? ApproachDownDb : _settings.DownDb), counts: false);
    }

    private void MoveTo(double levelDbHl, bool counts)
    {
        _level = Math.Clamp(levelDbHl, _floor.LevelDbHl, _maximum);
        _counts = counts || (!_familiarising && _level <= _floor.LevelDbHl);
    }

    private ThresholdOutcome Found(double levelDbHl) =>
        _floor.Limits(levelDbHl)
            ? new ThresholdOutcome.NoiseLimited(levelDbHl)
            : new ThresholdOutcome.Established(levelDbHl);

    private SearchMove Tone() => _guard.Tone(_level, _counts);
}
