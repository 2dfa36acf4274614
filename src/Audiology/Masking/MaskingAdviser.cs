using System.Globalization;

namespace TeleHearing.Audiology.Masking;

/// <summary>Says, from the trials so far, what to do next in a masked measurement done by hand, and why.</summary>
/// <remarks>
/// The rules are those of <see cref="PlateauSearch"/>: two answers of three decide a level, 5 dB up when the tone is not heard, the masker up when it is, a
/// plateau when the threshold stands still within 5 dB over a rise of 15 dB. It holds whatever order the trials were done in.
/// </remarks>
public static class MaskingAdviser
{
    private const double ToneUpDb = 5;
    private const int Deciding = 2;

    /// <summary>Advises.</summary>
    /// <param name="settings">Settings of the measurement (<see cref="PlateauPlanning"/>).</param>
    /// <param name="trials">Trials that count, in the order in which they were done.</param>
    /// <exception cref="ArgumentException">A setting is outside its range (<see cref="PlateauSettings.Faults"/>).</exception>
    public static MaskingAdvice Advise(PlateauSettings settings, IReadOnlyList<MaskedTrial> trials)
    {
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(trials);
        if (settings.Faults() is { Count: > 0 } faults)
        {
            throw new ArgumentException(string.Join(" ", faults), nameof(settings));
        }

        var points = Points(trials);
        if (trials.Count == 0)
        {
            return Beginning(settings);
        }

        var (masker, tone, _) = trials[^1];
        var current = points.FirstOrDefault(point => point.MaskerDbEm == masker);
        return current is null ? Undecided(settings, trials, points, masker, tone) : Decided(settings, points, current);
    }

    private static MaskingAdvice Beginning(PlateauSettings settings)
    {
        var initial = settings.InitialDbEm;
        if (initial > settings.MaskerLimitDbEm)
        {
            return AtMaskerLimit(settings, [], initial, settings.UnmaskedDbHl, begun: false);
        }

        var occlusion = settings.OcclusionDb > 0 ? Say($", {settings.OcclusionDb:0.#} dB for the occlusion effect") : string.Empty;
        return new MaskingAdvice(
            PlateauState.Beginning,
            Math.Min(HearingLevels.RoundUpToStep(settings.UnmaskedDbHl), HearingLevels.RoundDownToStep(settings.Search.MaximumDbHl)),
            initial,
            Say($"Begin with {initial:0.#} dB EM: the other ear's {settings.OtherAirDbHl:0.#} dB HL by air{occlusion}, and what makes sure that it hears the noise. Present the unmasked threshold."),
            []);
    }

    private static MaskingAdvice Undecided(PlateauSettings settings, IReadOnlyList<MaskedTrial> trials, IReadOnlyList<PlateauPoint> points, double masker, double tone)
    {
        var missed = trials.Count(trial => trial.MaskerDbEm == masker && trial.ToneDbHl == tone && !trial.Heard);
        var heard = trials.Count(trial => trial.MaskerDbEm == masker && trial.ToneDbHl == tone && trial.Heard);
        if (missed < Deciding || missed < heard)
        {
            return new MaskingAdvice(PlateauState.Searching, tone, masker, "Repeat the tone: two answers of three decide.", points);
        }

        var highest = HearingLevels.RoundDownToStep(settings.Search.MaximumDbHl);
        if (tone + ToneUpDb <= highest)
        {
            return new MaskingAdvice(
                PlateauState.Rising, tone + ToneUpDb, masker, Say($"Not heard: raise the tone by {ToneUpDb:0} dB. Either ear may have answered before."), points);
        }

        if (MaskingLevels.OverMaskingIsPossible(settings.ByBone, highest + ToneUpDb, masker, settings.AttenuationDb, settings.BestBoneDbHl))
        {
            return Concluded(PlateauState.Dilemma, PlateauConclusion.Dilemma(settings, highest, masker, begun: true), points);
        }

        return Concluded(PlateauState.NoResponse, PlateauConclusion.NoResponse(highest, masker), points);
    }

    private static MaskingAdvice Decided(PlateauSettings settings, IReadOnlyList<PlateauPoint> points, PlateauPoint current)
    {
        IReadOnlyList<PlateauPoint> upToHere = [.. points.Where(point => point.MaskerDbEm <= current.MaskerDbEm)];
        if (PlateauCurve.PlateauDbHl(upToHere, settings.RiseDb) is { } plateau)
        {
            if (!settings.OtherAirIsCertain && plateau - settings.UnmaskedDbHl < MaskingLevels.SafetyPadDb)
            {
                return Concluded(PlateauState.Dilemma, PlateauConclusion.MaskerMayDoNothing(settings, plateau), points);
            }

            var from = PlateauCurve.BeginDbEm(upToHere, settings.RiseDb);
            return new MaskingAdvice(
                PlateauState.Plateau,
                plateau,
                current.MaskerDbEm,
                Say($"A plateau: the threshold stood at {plateau:0.#} dB HL from {from:0.#} to {current.MaskerDbEm:0.#} dB EM. Measure it once more with this masker, 10 dB down and 5 dB up, and take it down."),
                points);
        }

        var next = current.MaskerDbEm + settings.StepDb;
        if (next > settings.MaskerLimitDbEm)
        {
            return AtMaskerLimit(settings, points, next, current.ToneDbHl, begun: true);
        }

        var stood = StoodOverDb(upToHere);
        return stood > 0
            ? new MaskingAdvice(
                PlateauState.Standing,
                current.ToneDbHl,
                next,
                Say($"Heard: raise the masker by {settings.StepDb:0} dB. The threshold has stood over {stood:0.#} of {settings.RiseDb:0.#} dB."),
                points)
            : new MaskingAdvice(
                upToHere.Count > 1 ? PlateauState.Rising : PlateauState.Searching,
                current.ToneDbHl,
                next,
                Say($"Heard: raise the masker by {settings.StepDb:0} dB. A threshold that rises with the masker is the other ear's."),
                points);
    }

    private static MaskingAdvice AtMaskerLimit(PlateauSettings settings, IReadOnlyList<PlateauPoint> points, double neededDbEm, double toneDbHl, bool begun)
    {
        var tried = Math.Min(neededDbEm, HearingLevels.RoundDownToStep(settings.MaskerLimitDbEm));
        return MaskingLevels.OverMaskingIsPossible(settings.ByBone, toneDbHl, tried, settings.AttenuationDb, settings.BestBoneDbHl)
            ? Concluded(PlateauState.Dilemma, PlateauConclusion.Dilemma(settings, toneDbHl, tried, begun), points)
            : Concluded(PlateauState.MaskerAtLimit, PlateauConclusion.MaskerAtLimit(settings, neededDbEm), points);
    }

    private static MaskingAdvice Concluded(PlateauState state, PlateauConclusion conclusion, IReadOnlyList<PlateauPoint> points) =>
        new(state, null, null, conclusion.Reason, points, conclusion.Remedy);

    /// <summary>The lowest tone that two answers of three call heard, for each level of the masker.</summary>
    private static IReadOnlyList<PlateauPoint> Points(IReadOnlyList<MaskedTrial> trials) =>
    [
        .. trials
            .GroupBy(trial => (trial.MaskerDbEm, trial.ToneDbHl))
            .Where(group => group.Count(trial => trial.Heard) is var heard && heard >= Deciding && 2 * heard > group.Count())
            .GroupBy(group => group.Key.MaskerDbEm, group => group.Key.ToneDbHl)
            .OrderBy(tones => tones.Key)
            .Select(tones => new PlateauPoint(tones.Key, tones.Min())),
    ];

    private static double StoodOverDb(IReadOnlyList<PlateauPoint> points)
    {
        var end = points[^1];
        var stood = 0.0;
        for (var i = points.Count - 1; i >= 0 && Math.Abs(points[i].ToneDbHl - end.ToneDbHl) <= PlateauCurve.StandsWithinDb; i--)
        {
            stood = end.MaskerDbEm - points[i].MaskerDbEm;
        }

        return points.Count > 1 && points[^2].ToneDbHl == end.ToneDbHl ? stood : 0;
    }

    private static string Say(FormattableString sentence) => sentence.ToString(CultureInfo.InvariantCulture);
}
