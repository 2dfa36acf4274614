namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>Estimates one threshold by Bayes' rule: every tone is the one expected to tell most, until the threshold is certain enough.</summary>
/// <remarks>
/// <para>It begins with clearly audible tones until one is heard, as the standard search does, unless the person knows the task. After that a tone is the level, among those
/// allowed, whose answer carries the most information about the threshold. Above 50 dB HL no tone is more than 20 dB above the one before it.</para>
/// <para>The outcome is the lowest level on the step that is heard at least half the time, as that of the standard search is meant to be; the estimate with its interval stands
/// beside it. It is accepted only when a tone was heard, when either a tone was missed or silence stayed unanswered, and when the responses do not look like guesses.</para>
/// <para>Every estimate ends: tones, voids, catch trials and restarts are bounded. Not safe for several threads at once.</para>
/// </remarks>
public sealed class ThresholdEstimation : IThresholdProcedure
{
    private readonly EstimateSettings _settings;
    private readonly ListenerBelief _listener;
    private readonly ThresholdPosterior _posterior;
    private readonly EstimateTrust _trust;
    private readonly TrialGuard _guard;
    private readonly NoiseFloor _floor;
    private readonly TellingLevel _telling;
    private readonly double _stepDb;
    private readonly int _maximum;
    private ThresholdEstimate? _final;
    private bool _familiarising;
    private double? _lowestHeard;
    private bool _lastMissed;
    private bool _silenceWasLast;
    private int _missesAtMaximum;
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
        (_settings, _listener, _posterior, _stepDb) = (settings, listener, posterior, settings.Search.StepDb);
        _guard = new TrialGuard(settings.Search, random);
        _floor = new NoiseFloor(settings.Search);
        _trust = new EstimateTrust(posterior);
        _maximum = (int)HearingLevels.RoundDownToStep(settings.Search.MaximumDbHl, _stepDb);
        _telling = new TellingLevel(posterior, _stepDb);
        PreviousDbHl = settings.PreviousDbHl;
        Next = Begin(settings.Familiarise);
        if (_floor.LevelDbHl > Math.Min(_maximum, settings.Search.FamiliarisationSecondDbHl))
        {
            Next = End(TrialGuard.EndedByRoom(_floor.LevelDbHl));
        }
    }

    /// <inheritdoc />
    public SearchMove Next { get; private set; }

    /// <summary>What is believed of the threshold now; after the end, what it came to.</summary>
    public ThresholdEstimate Estimate => _final ?? Read();

    /// <summary>Level of the last tone that was presented to its end, dB HL; absent when there was none.</summary>
    internal double? PreviousDbHl { get; private set; }

    /// <inheritdoc />
    public void Record(TrialAnswer answer)
    {
        var next = Next switch
        {
            SearchMove.Finished => throw new InvalidOperationException("The estimate is over; nothing can be recorded any more."),
            SearchMove.Reinstruct => Restart(),
            SearchMove.PresentCatch => AfterSilence(answer),
            _ => AfterTone(answer),
        };
        Next = next is SearchMove.Finished ? End(next) : next;
    }

    private SearchMove Begin(bool familiarise)
    {
        Span<double> thresholds = stackalloc double[_posterior.Grid.Thresholds];
        for (var i = 0; i < thresholds.Length; i++)
        {
            // The floor keeps every threshold possible, however narrow the prior: answers must be able to contradict it.
            thresholds[i] = _settings.Prior.Density(_posterior.Grid.ThresholdDb(i)) + 1e-6;
        }

        _posterior.Begin(thresholds, _listener.Weights);
        (_familiarising, _lastMissed, _silenceWasLast, _missesAtMaximum, _lowestHeard) = (familiarise, false, false, 0, null);
        _level = Allowed(familiarise ? Familiarisation.FirstDbHl(_settings.Search, _floor.LevelDbHl, _maximum) : MostTelling());
        return Tone();
    }

    private SearchMove Restart()
    {
        _guard.Restart();
        _trust.Restart();
        return Begin(familiarise: true);
    }

    private SearchMove AfterSilence(TrialAnswer answer)
    {
        // A spoiled catch trial is not repeated.
        _silenceWasLast = true;
        if (answer is TrialAnswer.Heard or TrialAnswer.EarlyPress)
        {
            _posterior.AddSilence(answered: true);
            return _guard.NoteFalseResponse() ?? Settled() ?? Present();
        }

        if (answer == TrialAnswer.NotHeard)
        {
            _guard.NoteCalm();
            _posterior.AddSilence(answered: false);
            _trust.NoteSilenceKept();
        }

        return Settled() ?? Present();
    }

    private SearchMove AfterTone(TrialAnswer answer)
    {
        _silenceWasLast = false;
        switch (answer)
        {
            case TrialAnswer.OtherVoid:
                // Broken off: it may not have been heard, so it makes no room for a louder one.
                PreviousDbHl = PreviousDbHl is { } before ? Math.Min(before, _level) : null;
                return AfterVoid(noise: false);
            case TrialAnswer.NoiseVoid:
                PreviousDbHl = _level;
                return AfterVoid(noise: true);
            case TrialAnswer.EarlyPress:
                // Counted, and more silence is tried after it; but how long the silence before a tone was is not known here, so that it says nothing of the rate.
                return _guard.NoteFalseResponse() ?? Tone();
            default:
                PreviousDbHl = _level;
                return AfterAnswer(answer == TrialAnswer.Heard);
        }
    }

    private SearchMove AfterVoid(bool noise)
    {
        if (noise)
        {
            _floor.RisesAfterVoidAt(_level);
        }

        if (_guard.AfterVoid(noise, _floor.LevelDbHl, _maximum, _lowestHeard) is { } end)
        {
            return end;
        }

        _level = Allowed(_level);
        return Tone();
    }

    private SearchMove AfterAnswer(bool heard)
    {
        _guard.NoteCalm();
        _guard.NoteTone();
        _floor.NoteValid();
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

    private SearchMove? Settled()
    {
        var median = _posterior.Quantile(0.5);
        if (_missesAtMaximum >= 2 && median > _maximum)
        {
            return new SearchMove.Finished(new ThresholdOutcome.NoResponseAtLimit(_maximum));
        }

        // Beyond the levels that can be presented nothing can be learned, and nothing need be.
        var reach = _stepDb / 2;
        var sd = _posterior.Moments(_floor.LevelDbHl - reach, _maximum + reach).SdDb;
        if (_guard.Tones >= _settings.MinimumTones && median <= _maximum && sd <= _settings.StopSdDb && _trust.Fault() is null)
        {
            return new SearchMove.Finished(Found(median));
        }

        if (_guard.Tones < _settings.MaximumTones)
        {
            return null;
        }

        return _trust.Fault() is { } fault ? TrialGuard.Ended(fault)
            : median > _maximum || sd > _settings.LargestSdDb ? _guard.EndedByTones()
            : new SearchMove.Finished(Found(median));
    }

    private ThresholdOutcome Found(double median)
    {
        // The lowest level on the step that is heard at least half the time.
        var level = Math.Clamp(HearingLevels.RoundUpToStep(median, _stepDb), _floor.LevelDbHl, _maximum);
        return _floor.Limits(level) ? new ThresholdOutcome.NoiseLimited(level) : new ThresholdOutcome.Established(level);
    }

    private SearchMove Present()
    {
        _level = Allowed(Wanted());
        return !_silenceWasLast && _settings.Search.CatchRate > 0 && _trust.WantsSilence() ? _guard.Silence(_level) : _guard.CatchOrTone(_level, Ascending);
    }

    private double Wanted()
    {
        if (_familiarising)
        {
            return Familiarisation.AfterMissDbHl(_settings.Search, _level);
        }

        // A threshold that seems to lie above the highest level is only believed after that level itself was missed.
        return _posterior.Quantile(0.5) > _maximum ? _maximum : MostTelling();
    }

    private int MostTelling() => _telling.Choose((int)_floor.LevelDbHl, Allowed(_maximum));

    private int Allowed(double wanted) =>
        (int)Math.Min(Math.Max(wanted, _floor.LevelDbHl), Math.Min(_maximum, EstimateReach.HighestAfter(PreviousDbHl, _stepDb)));

    private bool Ascending => _lastMissed && PreviousDbHl < _level;

    private SearchMove Tone() => _guard.Tone(_level, Ascending);

    private SearchMove End(SearchMove finished)
    {
        _final = Read();
        return finished;
    }

    private ThresholdEstimate Read()
    {
        var tail = (1 - _settings.CredibleShare) / 2;
        var (mean, sd) = _posterior.Moments(double.NegativeInfinity, double.PositiveInfinity);
        return new(_posterior.Quantile(0.5), _posterior.Quantile(tail), _posterior.Quantile(1 - tail), _settings.CredibleShare, sd) { MeanDbHl = mean };
    }
}
