namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>Estimates one threshold by Bayes' rule: every tone is the one expected to tell most, until the threshold is certain enough.</summary>
/// <remarks>
/// <para>It begins with clearly audible tones until one is heard, as the standard search does, unless the person knows the task. After that a tone is the level, among those
/// allowed, whose answer carries the most information about the threshold. No tone is more than 20 dB above the one before it where that is above 50 dB HL.</para>
/// <para>The outcome is the lowest level on the step that is heard at least half the time, as that of the standard search is meant to be; the estimate with its interval stands beside it. It is
/// accepted only when a tone was heard, when either a tone was missed or silence stayed unanswered, and when the responses do not look like guesses.</para>
/// <para>Every estimate ends: tones, voids and catch trials are bounded. Not safe for several threads at once.</para>
/// </remarks>
public sealed class ThresholdEstimation : IThresholdProcedure
{
    private readonly EstimateSettings _settings;
    private readonly Random _random;
    private readonly NoiseFloor _floor;
    private readonly ThresholdPosterior _posterior;
    private readonly EstimateTrust _trust;
    private readonly int _maximum;
    private ThresholdEstimate? _final;
    private bool _familiarising;
    private double? _previousDbHl;
    private double? _lowestHeard;
    private bool _lastMissed;
    private bool _catchWasLast;
    private int _missesAtMaximum;
    private int _tones;
    private int _voids;
    private int _level;

    /// <summary>Prepares an estimate.</summary>
    /// <param name="settings">Levels, limits and prior.</param>
    /// <param name="random">Seeded source of the catch trials.</param>
    /// <exception cref="ArgumentOutOfRangeException">A setting is outside its range.</exception>
    public ThresholdEstimation(EstimateSettings settings, Random random)
        : this(settings, random, ListenerBelief.Unknown, new ThresholdPosterior(EstimateGrid.Usual))
    {
    }

    internal ThresholdEstimation(EstimateSettings settings, Random random, ListenerBelief listener, ThresholdPosterior posterior)
    {
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(random);
        EstimateSettingsRules.ThrowIfUnusable(settings);
        (_settings, _random, _posterior) = (settings, random, posterior);
        _floor = new NoiseFloor(settings.Search);
        _trust = new EstimateTrust(posterior);
        _maximum = (int)HearingLevels.RoundDownToStep(settings.Search.MaximumDbHl);
        _familiarising = settings.Familiarise;
        _previousDbHl = settings.PreviousDbHl;
        Begin(listener);
        if (_floor.LevelDbHl > Math.Min(_maximum, settings.Search.FamiliarisationSecondDbHl))
        {
            Next = Finish(new ThresholdOutcome.NotEstablished(
                $"The room is too loud to test here: it hides everything below {_floor.LevelDbHl} dB HL. Find a quieter room."));
            return;
        }

        _level = Allowed(_familiarising ? (int)settings.Search.FamiliarisationStartDbHl : MostTelling());
        Next = Tone();
    }

    /// <inheritdoc />
    public SearchMove Next { get; private set; }

    /// <summary>What is believed of the threshold now; after the end, what it came to.</summary>
    public ThresholdEstimate Estimate => _final ?? Read();

    /// <summary>Tones that counted so far.</summary>
    public int Tones => _tones;

    /// <summary>Level of the last tone that was presented to its end, dB HL; absent when there was none.</summary>
    internal double? PreviousDbHl => _previousDbHl;

    /// <summary>Mean and standard deviation of the threshold.</summary>
    internal (double MeanDb, double SdDb) Moments => _posterior.Moments(double.NegativeInfinity, double.PositiveInfinity);

    /// <inheritdoc />
    public void Record(TrialAnswer answer)
    {
        Next = Next switch
        {
            SearchMove.Finished => throw new InvalidOperationException("The estimate is over; nothing can be recorded any more."),
            SearchMove.PresentCatch => AfterCatch(answer),
            _ => AfterTone(answer),
        };
    }

    private void Begin(ListenerBelief listener)
    {
        Span<double> thresholds = stackalloc double[_posterior.Grid.Thresholds];
        for (var i = 0; i < thresholds.Length; i++)
        {
            // The floor keeps every threshold possible, however narrow the prior: answers must be able to contradict it.
            thresholds[i] = _settings.Prior.Density(_posterior.Grid.ThresholdDb(i)) + 1e-6;
        }

        _posterior.Begin(thresholds, listener.Weights);
    }

    private SearchMove AfterCatch(TrialAnswer answer)
    {
        // A spoiled catch trial is not repeated.
        _catchWasLast = true;
        if (answer is TrialAnswer.Heard or TrialAnswer.NotHeard)
        {
            var heard = answer == TrialAnswer.Heard;
            _posterior.AddCatch(heard);
            _trust.NoteCatch(heard);
            if (_trust.FalseResponses >= _settings.Search.FalseResponseLimit)
            {
                return Finish(new ThresholdOutcome.NotEstablished($"The person responded {_trust.FalseResponses} times to silence. Explain the task again and repeat."));
            }
        }

        return Settled() ?? Present();
    }

    private SearchMove AfterTone(TrialAnswer answer)
    {
        _catchWasLast = false;
        switch (answer)
        {
            case TrialAnswer.OtherVoid:
                // Broken off: it may not have been heard, so it makes no room for a louder one.
                _previousDbHl = _previousDbHl is { } before ? Math.Min(before, _level) : null;
                return AfterVoid(noise: false);
            case TrialAnswer.NoiseVoid:
                _previousDbHl = _level;
                return AfterVoid(noise: true);
            default:
                _previousDbHl = _level;
                return AfterAnswer(answer == TrialAnswer.Heard);
        }
    }

    private SearchMove AfterVoid(bool noise)
    {
        if (noise)
        {
            _floor.RisesAfterVoidAt(_level);
        }

        if (_floor.LevelDbHl > _maximum || ++_voids >= _settings.Search.MaximumVoids)
        {
            return Finish(noise && _lowestHeard is { } heard
                ? new ThresholdOutcome.NoiseLimited(heard)
                : new ThresholdOutcome.NotEstablished(noise
                    ? "Noise in the room spoiled one presentation after another. Find a quieter moment or room."
                    : "Too many presentations were broken off. Repeat the search."));
        }

        _level = Allowed(_level);
        return Tone();
    }

    private SearchMove AfterAnswer(bool heard)
    {
        _floor.NoteValid();
        _tones++;
        _posterior.AddTone(_level, heard);
        _trust.NoteTone(heard);
        _lastMissed = !heard;
        _missesAtMaximum += !heard && _level >= _maximum ? 1 : 0;
        if (heard)
        {
            _lowestHeard = Math.Min(_lowestHeard ?? _level, _level);
            _familiarising = false;
        }

        return Settled() ?? Present();
    }

    private SearchMove.Finished? Settled()
    {
        var median = _posterior.Quantile(0.5);
        if (_missesAtMaximum >= 2 && median > _maximum)
        {
            return Finish(new ThresholdOutcome.NoResponseAtLimit(_maximum));
        }

        // Beyond the levels that can be presented nothing can be learned, and nothing need be.
        var reach = _settings.StepDb / 2.0;
        var sd = _posterior.Moments(_floor.LevelDbHl - reach, _maximum + reach).SdDb;
        if (_tones >= _settings.MinimumTones && median <= _maximum && sd <= _settings.StopSdDb && _trust.Fault() is null)
        {
            return Finish(Found(median));
        }

        if (_tones < _settings.MaximumTones)
        {
            return null;
        }

        var fault = _trust.Fault() ?? (median > _maximum || sd > _settings.LargestSdDb
            ? $"No threshold after {_tones} presentations. Explain the task again and repeat."
            : null);
        return Finish(fault is null ? Found(median) : new ThresholdOutcome.NotEstablished(fault));
    }

    private ThresholdOutcome Found(double median)
    {
        // The lowest level on the step that is heard at least half the time.
        var level = Math.Clamp((Math.Ceiling(median / _settings.StepDb) * _settings.StepDb) + 0.0, _floor.LevelDbHl, _maximum);
        return _floor.Limits(level) ? new ThresholdOutcome.NoiseLimited(level) : new ThresholdOutcome.Established(level);
    }

    private SearchMove Present()
    {
        _level = Allowed(Wanted());

        // Never twice in a row, so that a person who waits is not kept waiting without a tone.
        var catchIsDue = !_catchWasLast && (_trust.WantsSilence(_settings.Search.CatchRate) || (_settings.Search.CatchRate > 0 && _random.NextDouble() < _settings.Search.CatchRate));
        return catchIsDue ? new SearchMove.PresentCatch(HearingLevel.FromDecibels(_level)) : Tone();
    }

    private int Wanted()
    {
        if (_familiarising)
        {
            return (int)(_level < _settings.Search.FamiliarisationSecondDbHl ? _settings.Search.FamiliarisationSecondDbHl : _level + _settings.Search.FamiliarisationStepDb);
        }

        // A threshold that seems to lie above the highest level is only believed after that level itself was missed.
        return _posterior.Quantile(0.5) > _maximum ? _maximum : MostTelling();
    }

    private int MostTelling()
    {
        var (best, most) = ((int)_floor.LevelDbHl, double.NegativeInfinity);
        var highest = Allowed(_maximum);
        for (var level = best; level <= highest; level += _settings.StepDb)
        {
            var information = _posterior.Information(level);
            if (information > most)
            {
                (best, most) = (level, information);
            }
        }

        return best;
    }

    // Kits refuse a tone above 50 dB HL that is more than 20 dB above the last one; see CeilingRules.
    private int Allowed(int wanted)
    {
        var highest = Math.Min(_maximum, EstimateReach.HighestAfter(_previousDbHl, _settings.StepDb));
        return Math.Min(Math.Max(wanted, (int)_floor.LevelDbHl), highest);
    }

    private SearchMove.PresentTone Tone() => new(HearingLevel.FromDecibels(_level), _lastMissed && _previousDbHl < _level);

    private SearchMove.Finished Finish(ThresholdOutcome outcome)
    {
        _final = Read();
        return new(outcome);
    }

    private ThresholdEstimate Read()
    {
        var tail = (1 - _settings.CredibleShare) / 2;
        return new(
            _posterior.Quantile(0.5),
            _posterior.Quantile(tail),
            _posterior.Quantile(1 - tail),
            _settings.CredibleShare,
            _posterior.Moments(double.NegativeInfinity, double.PositiveInfinity).SdDb);
    }
}
