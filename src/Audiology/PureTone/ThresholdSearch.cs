namespace TeleHearing.Audiology.PureTone;

/// <summary>Searches one threshold: familiarise, then 10 dB down after a response and 5 dB up after a miss, until the stopping rule is met.</summary>
/// <remarks>
/// <para>ASHA 2005 (from memory) and ISO 8253-1:2010, 6.2.3. Both begin 10 dB below the familiarisation response. Only responses on an ascent
/// count: the presentation before was 5 dB lower and missed. At the lowest level allowed there is nothing below to ascend from, so every
/// presentation there counts.</para>
/// <para>Ask <see cref="Next"/>, carry it out, tell the result to <see cref="Record"/>, until the move is <see cref="SearchMove.Finished"/>. Every search ends:
/// tones, voids and catch trials are each bounded. Not safe for several threads at once.</para>
/// </remarks>
public sealed class ThresholdSearch : IThresholdProcedure
{
    private readonly SearchSettings _settings;
    private readonly Random _random;
    private readonly NoiseFloor _floor;
    private readonly AscentTally _tally;
    private readonly double _maximum;
    private bool _familiarising = true;
    private bool _missedAtMaximum;
    private double? _lowestHeard;
    private double? _lastHeard;
    private int _tones;
    private int _voids;
    private int _falseResponses;
    private bool _catchIsDue;
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
        _random = random;
        _floor = new NoiseFloor(settings);
        _tally = new AscentTally(settings.Rule);
        _maximum = HearingLevels.RoundDownToStep(settings.MaximumDbHl);
        _level = Math.Max(settings.FamiliarisationStartDbHl, _floor.LevelDbHl);
        _level = Math.Min(_level, _maximum);
        Next = _floor.LevelDbHl > Math.Min(_maximum, settings.FamiliarisationSecondDbHl)
            ? new SearchMove.Finished(new ThresholdOutcome.NotEstablished(
                $"The room is too loud to test here: it hides everything below {_floor.LevelDbHl} dB HL. Find a quieter room."))
            : Tone();
    }

    /// <summary>What to do next. The same until <see cref="Record"/> is called.</summary>
    public SearchMove Next { get; private set; }

    /// <summary>Tells what the move in <see cref="Next"/> came to.</summary>
    /// <exception cref="InvalidOperationException">The search is over.</exception>
    public void Record(TrialAnswer answer)
    {
        Next = Next switch
        {
            SearchMove.Finished => throw new InvalidOperationException("The search is over; nothing can be recorded any more."),
            SearchMove.PresentCatch => AfterCatch(answer),
            _ => AfterTone(answer),
        };
    }

    private SearchMove AfterCatch(TrialAnswer answer)
    {
        // A spoiled catch trial is not repeated: it has no bearing on the threshold.
        if (answer == TrialAnswer.Heard && ++_falseResponses >= _settings.FalseResponseLimit)
        {
            return Unsettled($"The person responded {_falseResponses} times to silence. Explain the task again and repeat.");
        }

        return Tone();
    }

    private SearchMove AfterTone(TrialAnswer answer) => answer switch
    {
        TrialAnswer.NoiseVoid => AfterVoid(noise: true),
        TrialAnswer.OtherVoid => AfterVoid(noise: false),
        _ => AfterAnswer(answer == TrialAnswer.Heard),
    };

    private SearchMove AfterVoid(bool noise)
    {
        if (noise && _floor.RisesAfterVoidAt(_level))
        {
            // What was shown in quiet before stays counted; the search goes on above what the noise hides.
            _level = Math.Min(_floor.LevelDbHl, _maximum);
            _counts = !_familiarising;
        }

        if (_floor.LevelDbHl > _maximum || ++_voids >= _settings.MaximumVoids)
        {
            return noise && _lowestHeard is { } heard
                ? new SearchMove.Finished(new ThresholdOutcome.NoiseLimited(heard))
                : Unsettled(noise
                    ? "Noise in the room spoiled one presentation after another. Find a quieter moment or room."
                    : "Too many presentations were broken off. Repeat the search.");
        }

        return Tone();
    }

    private SearchMove AfterAnswer(bool heard)
    {
        _floor.NoteValid();
        _tones++;
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
        if (_tones >= _settings.MaximumPresentations)
        {
            return Unsettled($"No threshold after {_tones} presentations. Explain the task again and repeat.");
        }

        Choose(heard);
        return CatchOrTone();
    }

    private void Choose(bool heard)
    {
        if (_familiarising && !heard)
        {
            var next = _level < _settings.FamiliarisationSecondDbHl ? _settings.FamiliarisationSecondDbHl : _level + _settings.FamiliarisationStepDb;
            MoveTo(next, counts: false);
            return;
        }

        _familiarising = false;
        if (!heard)
        {
            // A repeat at the maximum is not reached from below and counts for nothing but the limit.
            MoveTo(_level + _settings.UpDb, counts: _level < _maximum);
            return;
        }

        if (_tally.SeriesFailed)
        {
            _tally.BeginSeries();
            MoveTo(_lastHeard!.Value + _settings.NewSeriesRiseDb, counts: false);
            return;
        }

        MoveTo(_level - _settings.DownDb, counts: false);
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

    private SearchMove CatchOrTone()
    {
        // Never twice in a row, so that a person who waits is not kept waiting without a tone.
        _catchIsDue = !_catchIsDue && _settings.CatchRate > 0 && _random.NextDouble() < _settings.CatchRate;
        return _catchIsDue ? new SearchMove.PresentCatch(HearingLevel.FromDecibels(_level)) : Tone();
    }

    private SearchMove.PresentTone Tone() => new(HearingLevel.FromDecibels(_level), _counts);

    private static SearchMove.Finished Unsettled(string reason) => new(new ThresholdOutcome.NotEstablished(reason));
}
