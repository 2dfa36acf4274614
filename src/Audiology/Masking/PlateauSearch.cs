using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Masking;

/// <summary>Measures a threshold with a masker in the other ear, by the plateau (Hood 1960, from memory).</summary>
/// <remarks>
/// <para>Tone not heard: 5 dB up. Heard: masker up by its step. Each of the two is decided by two answers of three, so that one lapse or one press without cause moves nothing. When the tone has stood
/// still (within 5 dB) over a rise of 15 dB, its threshold is measured by the ascending rule, where the bounds allow it with a masker 10 dB higher still: a
/// response of the other ear would have risen 25 dB by then. Only a threshold that agrees with the plateau within 5 dB is accepted, so a rising curve never is. Where the masker may
/// have reached the ear under test, the threshold is measured where the plateau begins as well, and both must agree: that one is then the result.</para>
/// <para>Every search ends: tones, voids, silent trials and measurements at a plateau are each bounded. Not safe for several threads at once.</para>
/// </remarks>
public sealed partial class PlateauSearch : IThresholdProcedure
{
    private const double ToneUpDb = 5;
    private const double LeadInFromDbHl = 50;
    private const double LeadInRiseDb = 20;
    private const double FurtherRiseDb = 10;
    private const double BelowPlateauDb = 10;
    private const double BetterThanUnmaskedDb = 10;
    private const int MaximumMeasurements = 6;

    private readonly PlateauSettings _settings;
    private readonly MaskedTrials _trials;
    private readonly NoiseFloor _floor;
    private readonly List<PlateauPoint> _points = [];
    private readonly List<PlateauPoint> _window = [];
    private readonly double _highest;
    private double _tone;
    private double _masker;
    private double? _leadIn;
    private ResponseTally _tally;
    private MaskedAscent? _ascent;
    private double _plateau;
    private PlateauPoint? _atTheEnd;
    private bool _overMaskedAbove;
    private int _measurements;

    /// <summary>Prepares a measurement.</summary>
    /// <param name="settings">Levels and limits.</param>
    /// <param name="random">Seeded source of the catch trials.</param>
    /// <exception cref="ArgumentException">A setting is outside its range (<see cref="PlateauSettings.Faults"/>).</exception>
    public PlateauSearch(PlateauSettings settings, Random random)
    {
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(random);
        if (settings.Faults() is { Count: > 0 } faults)
        {
            throw new ArgumentException(string.Join(" ", faults), nameof(settings));
        }

        SearchSettingsRules.ThrowIfUnusable(settings.Search);
        _settings = settings;
        _trials = new MaskedTrials(settings, random);
        _floor = new NoiseFloor(settings.Search);
        _highest = HearingLevels.RoundDownToStep(settings.Search.MaximumDbHl);
        Next = Begin();
    }

    /// <inheritdoc />
    public SearchMove Next { get; private set; }

    /// <summary>Points of the curve so far, the masker rising; with the threshold that was measured at the plateau as the last, once there is one.</summary>
    public IReadOnlyList<PlateauPoint> Points => _points;

    /// <summary>What masking came to; absent until the search is over.</summary>
    public MaskingEvidence? Evidence { get; private set; }

    /// <summary>Highest less lowest level at which an ascent at the plateau ended in a response, dB.</summary>
    public double AscentSpanDb => _ascent?.SpanDb ?? 0;

    /// <inheritdoc />
    public void Record(TrialAnswer answer)
    {
        Next = Next switch
        {
            SearchMove.Finished => throw new InvalidOperationException("The search is over; nothing can be recorded any more."),
            SearchMove.Reinstruct => Restart(),
            _ when answer == TrialAnswer.EarlyPress => AfterCatch(falseResponse: true),
            SearchMove.PresentCatch => AfterCatch(answer == TrialAnswer.Heard),
            _ when answer is TrialAnswer.NoiseVoid or TrialAnswer.OtherVoid => _trials.NoteVoid(answer == TrialAnswer.NoiseVoid) is { } end ? Finish(end) : Tone(),
            _ => AfterTone(answer == TrialAnswer.Heard),
        };
    }

    private SearchMove Begin()
    {
        _masker = _settings.InitialDbEm;
        _tone = Math.Min(Math.Max(HearingLevels.RoundUpToStep(_settings.UnmaskedDbHl), _floor.LevelDbHl), _highest);
        _leadIn = _tone > LeadInFromDbHl && _floor.LevelDbHl <= LeadInFromDbHl ? LeadInFromDbHl : null;
        if (_floor.LevelDbHl > _highest)
        {
            return Finish(PlateauConclusion.RoomTooLoud(_floor.LevelDbHl));
        }

        return _masker > _settings.MaskerLimitDbEm ? AtMaskerLimit(_masker) : Tone();
    }

    private SearchMove Restart()
    {
        _trials.Restart();
        _points.Clear();
        _window.Clear();
        (_tally, _ascent, _atTheEnd, _overMaskedAbove, _measurements) = (default, null, null, false, 0);
        return Begin();
    }

    private SearchMove AfterCatch(bool falseResponse)
    {
        if (!falseResponse)
        {
            _trials.NoteCalm();
            return Tone();
        }

        var (instruct, end) = _trials.NoteFalseResponse();
        return end is not null ? Finish(end) : instruct ?? Tone();
    }

    private SearchMove AfterTone(bool heard)
    {
        if (_trials.NoteTone() is { } end)
        {
            return Finish(end);
        }

        if (_leadIn is { } level)
        {
            // The person is led up to the level; what is heard on the way decides nothing.
            _leadIn = level + LeadInRiseDb < _tone ? level + LeadInRiseDb : null;
            return CatchOrTone();
        }

        return _ascent is null ? Probe(heard) : Measure(heard);
    }

    private SearchMove Probe(bool heard)
    {
        if (_tally.Add(heard) is not { } decided)
        {
            return CatchOrTone();
        }

        _tally = default;
        if (!decided)
        {
            return _tone < _highest ? Raise() : AtToneLimit();
        }

        AddPoint(_masker, _tone);
        if (PlateauCurve.PlateauDbHl(_window, _settings.RiseDb) is { } plateau)
        {
            return BeginMeasurement(plateau, Math.Min(_masker + FurtherRiseDb, HearingLevels.RoundDownToStep(_settings.MaskerLimitDbEm)));
        }

        return RaiseMasker();
    }

    private SearchMove Raise()
    {
        _tone += ToneUpDb;
        return CatchOrTone();
    }

    private SearchMove RaiseMasker()
    {
        if (_masker + _settings.StepDb > _settings.MaskerLimitDbEm)
        {
            return AtMaskerLimit(_masker + _settings.StepDb);
        }

        _masker += _settings.StepDb;
        return CatchOrTone();
    }

    private SearchMove AtToneLimit() => OverMaskingIsPossible(_highest + ToneUpDb)
        ? Finish(PlateauConclusion.Dilemma(_settings, _highest, _masker, begun: true))
        : Finish(PlateauConclusion.NoResponse(_highest, _masker));

    private SearchMove AtMaskerLimit(double neededDbEm)
    {
        var tried = Math.Min(neededDbEm, HearingLevels.RoundDownToStep(_settings.MaskerLimitDbEm));
        return MaskingLevels.OverMaskingIsPossible(_settings.ByBone, _tone, tried, _settings.AttenuationDb, _settings.BestBoneDbHl)
            ? Finish(PlateauConclusion.Dilemma(_settings, _tone, tried, _trials.Begun))
            : Finish(PlateauConclusion.MaskerAtLimit(_settings, neededDbEm));
    }

    private bool OverMaskingIsPossible(double toneDbHl) =>
        MaskingLevels.OverMaskingIsPossible(_settings.ByBone, toneDbHl, _masker, _settings.AttenuationDb, _settings.BestBoneDbHl);

    private void AddPoint(double maskerDbEm, double toneDbHl)
    {
        var point = new PlateauPoint(maskerDbEm, toneDbHl);
        _points.Add(point);
        _window.Add(point);
    }

    private SearchMove.Finished Finish(PlateauConclusion conclusion, double? finalDbEm = null)
    {
        Evidence = new MaskingEvidence(_settings.InitialDbEm, _settings.StepDb, [.. _points], conclusion.Verdict, conclusion.Reason)
        {
            Remedy = conclusion.Remedy,
            FinalDbEm = finalDbEm,
        };
        return new SearchMove.Finished(conclusion.Outcome);
    }

    private SearchMove CatchOrTone() => _trials.CatchOrTone(Level, Counts, _masker);

    private SearchMove Tone() => _trials.Tone(Level, Counts, _masker);

    private double Level => _leadIn ?? _ascent?.LevelDbHl ?? _tone;

    private bool Counts => _leadIn is null && (_ascent?.Counts ?? true);
}
