using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Masking;

/// <content>The threshold that is measured where a plateau seems to be, and what is made of it.</content>
public sealed partial class PlateauSearch
{
    private SearchMove BeginMeasurement(double plateauDbHl, double maskerDbEm)
    {
        if (++_measurements > MaximumMeasurements)
        {
            return Finish(PlateauConclusion.NotSettled("Plateaus were found, but the threshold measured there did not agree with them.", "Explain the task again and repeat."));
        }

        (_plateau, _masker) = (plateauDbHl, maskerDbEm);
        _ascent = new MaskedAscent(_settings.Search.Rule, plateauDbHl - BelowPlateauDb, _floor.LevelDbHl, _highest);
        return CatchOrTone();
    }

    private SearchMove Measure(bool heard)
    {
        var missedAtHighest = !heard && _ascent!.LevelDbHl >= _highest;
        if (_ascent!.Add(heard) is { } threshold)
        {
            return Compare(threshold);
        }

        return missedAtHighest && _ascent.MostlyMissedAtHighest ? Compare(_highest + ToneUpDb) : CatchOrTone();
    }

    private SearchMove Compare(double thresholdDbHl)
    {
        if (thresholdDbHl < _settings.UnmaskedDbHl - BetterThanUnmaskedDb)
        {
            return Finish(PlateauConclusion.BetterThanUnmasked(_settings, thresholdDbHl));
        }

        return _atTheEnd is { } end ? CompareBothEnds(thresholdDbHl, end) : CompareEnd(thresholdDbHl);
    }

    private SearchMove CompareEnd(double thresholdDbHl)
    {
        var top = _window[^1].MaskerDbEm;
        var highestStanding = Math.Min(_highest, PlateauCurve.HighestStandingDbHl(_window, _settings.RiseDb));
        if (thresholdDbHl >= _plateau - PlateauCurve.StandsWithinDb && thresholdDbHl <= highestStanding)
        {
            _atTheEnd = new PlateauPoint(_masker, thresholdDbHl);

            // The tone only rises on the way, so that points may lie above the curve and hide that it rises. Where the masker cannot have reached the ear under test, a curve
            // that rises does so by the other ear alone and for as far as the masker does, which the end has shown it did not.
            return OverMaskingIsPossible(thresholdDbHl)
                ? BeginMeasurement(thresholdDbHl, PlateauCurve.BeginDbEm(_window, _settings.RiseDb))
                : Accept(thresholdDbHl, _atTheEnd);
        }

        if (thresholdDbHl > _plateau && _masker > top && OverMaskingIsPossible(thresholdDbHl))
        {
            // The further rise may itself have done it: measure where the tone last stood.
            _overMaskedAbove = true;
            return BeginMeasurement(_plateau, top);
        }

        return GoOn(new PlateauPoint(_masker, thresholdDbHl));
    }

    private SearchMove CompareBothEnds(double thresholdDbHl, PlateauPoint end) =>
        Math.Abs(thresholdDbHl - end.ToneDbHl) <= PlateauCurve.StandsWithinDb ? Accept(thresholdDbHl, end) : GoOn(end);

    /// <summary>It was no plateau, or one the tone had drifted above: nothing found so far is evidence of the threshold.</summary>
    private SearchMove GoOn(PlateauPoint from)
    {
        (_ascent, _atTheEnd, _overMaskedAbove) = (null, null, false);
        (_masker, _tone) = (from.MaskerDbEm, Math.Min(from.ToneDbHl, _highest));
        _window.Clear();
        if (from.ToneDbHl > _highest)
        {
            return AtToneLimit();
        }

        AddPoint(_masker, _tone);
        return RaiseMasker();
    }

    private SearchMove Accept(double thresholdDbHl, PlateauPoint end)
    {
        if (!_settings.OtherAirIsCertain && thresholdDbHl - _settings.UnmaskedDbHl < MaskingLevels.SafetyPadDb)
        {
            return Finish(PlateauConclusion.MaskerMayDoNothing(_settings, thresholdDbHl));
        }

        var begin = PlateauCurve.BeginDbEm(_window, _settings.RiseDb);
        if (end.MaskerDbEm > _window[^1].MaskerDbEm)
        {
            _points.Add(end);
        }
        else
        {
            _points[^1] = end;
        }

        ThresholdOutcome outcome = _floor.Limits(thresholdDbHl) ? new ThresholdOutcome.NoiseLimited(thresholdDbHl) : new ThresholdOutcome.Established(thresholdDbHl);
        return Finish(PlateauConclusion.Plateau(_settings, outcome, thresholdDbHl, begin, end.MaskerDbEm, _overMaskedAbove), finalDbEm: end.MaskerDbEm);
    }
}
