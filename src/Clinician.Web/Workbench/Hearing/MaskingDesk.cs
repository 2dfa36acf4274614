using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Charts;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Workbench.Hearing;

/// <summary>What is known about masking at the ear, route and frequency on the dial.</summary>
/// <param name="Need">Whether the threshold there must be masked, and why.</param>
/// <param name="Advice">Next move of masking by hand; absent while it cannot begin.</param>
/// <param name="NotYet">Why it cannot begin and what to do; absent when it can.</param>
/// <param name="Plateau">The curve so far; absent while it cannot begin.</param>
public sealed record MaskingPicture(MaskingNeed Need, MaskingAdvice? Advice, string? NotYet, MaskingPlateau? Plateau)
{
    /// <summary>Whether the advice is wanted: masking is needed, chosen or begun.</summary>
    public bool IsAsked(HandDial dial) => Advice is { } advice && (Need.Needed || dial.Masked || advice.Points.Count > 0);
}

/// <summary>Asks the masking library about the dial. No judgement of its own.</summary>
public static class MaskingDesk
{
    /// <summary>Highest masker the advice goes to, dB EM; the kit's own limit may be lower and then refuses in words.</summary>
    private const double HighestMaskerDbEm = 100;

    /// <summary>The picture; absent before there is any threshold by which to judge.</summary>
    /// <param name="view">Session.</param>
    /// <param name="dial">Dial.</param>
    /// <param name="rule">Stopping rule of searches.</param>
    public static MaskingPicture? Of(SessionView view, HandDial dial, StoppingRule rule)
    {
        if (view.Thresholds.Count == 0)
        {
            return null;
        }

        var audiogram = view.AllMeasurements();
        var (rules, kind) = (Rules(view), Earphones(view));
        var need = MaskingNeeds.Judge(rules, kind, audiogram, dial.Ear, dial.Route, dial.Frequency.Hertz);
        var bound = view.Room?.LowestProvable.FirstOrDefault(level => level.FrequencyHz == dial.Frequency.Hertz)?.LevelDbHl;
        var search = new SearchSettings(rule, HearingLevels.LowestPresentedDbHl, HearingLevels.LoudAboveDbHl, bound);
        switch (PlateauPlanning.Prepare(rules, kind, audiogram, dial.Ear, dial.Route, dial.Frequency.Hertz, search, HighestMaskerDbEm))
        {
            case PlateauPlan.Ready { Settings: var settings }:
                var advice = MaskingAdviser.Advise(settings, Counting(view.MaskedByHand, dial));
                return new MaskingPicture(need, advice, null, Plateau(dial, settings, advice));
            case PlateauPlan.NotYet notYet:
                return new MaskingPicture(need, null, $"{notYet.Reason} {notYet.Remedy}", null);
            default:
                return new MaskingPicture(need, null, null, null);
        }
    }

    /// <summary>The curve of a masked search that the kit is running, as far as its trials go; absent when the search is not masked or nothing was presented yet.</summary>
    /// <remarks>The points are read from the trials as those by hand are: the kit and the adviser decide a level by the same rule. What comes next is the kit's to choose, so it is not shown.</remarks>
    public static MaskingPlateau? Running(SessionView view, StepView step)
    {
        if (step.Request is PresentToneStep || step.Trials.LastOrDefault(trial => trial.MaskerDbEm is not null) is not { } last || !AudiometricFrequency.TryFromHertz(last.FrequencyHz, out var frequency))
        {
            return null;
        }

        var dial = HandDial.First with { Ear = last.Ear, Frequency = frequency, Route = last.Route, Masked = true };
        var search = new SearchSettings(StoppingRule.TwoOfThree, HearingLevels.LowestPresentedDbHl, HearingLevels.LoudAboveDbHl, null);
        return PlateauPlanning.Prepare(Rules(view), Earphones(view), view.AllMeasurements(), dial.Ear, dial.Route, last.FrequencyHz, search, HighestMaskerDbEm) is PlateauPlan.Ready { Settings: var settings }
            ? Plateau(dial, settings, MaskingAdviser.Advise(settings, Counting(step.Trials, dial))) with { Reason = null, Remedy = null, Next = null, IdPrefix = "running-plateau" }
            : null;
    }

    /// <summary>The dial with the levels advised; as it is when there are none.</summary>
    public static HandDial Follow(HandDial dial, MaskingPicture? picture) =>
        picture?.Advice is { ToneDbHl: { } tone, MaskerDbEm: { } masker } ? dial with { LevelDbHl = tone, MaskerDbEm = masker, Masked = true } : dial;

    /// <summary>The rules in force: the protocol's, or the usual ones.</summary>
    public static MaskingRules Rules(SessionView view) => view.Plan?.Protocol.MaskingRules is { } name ? MaskingRules.ByName(name) ?? MaskingRules.Usual : MaskingRules.Usual;

    /// <summary>The earphones in use. One session is measured with one pair; were there two, the one with the least attenuation is the careful one.</summary>
    public static TransducerKind Earphones(SessionView view) => view.Thresholds
        .Where(threshold => threshold.Route == ConductionRoute.Air)
        .Select(threshold => threshold.Gear.TransducerKind)
        .DefaultIfEmpty(TransducerKind.SupraAural)
        .MinBy(kind => MaskingRules.Usual.Attenuation.AirMinimumDb(kind, 1000));

    private static IReadOnlyList<MaskedTrial> Counting(IReadOnlyList<TrialRecord> trials, HandDial dial) =>
    [
        .. trials
            .Where(trial => trial.MaskerDbEm is not null && (trial.Ear, trial.Route, trial.FrequencyHz) == (dial.Ear, dial.Route, dial.Frequency.Hertz) && trial.Verdict is TrialVerdict.Heard or TrialVerdict.NotHeard)
            .Select(trial => new MaskedTrial(trial.MaskerDbEm!.Value, trial.LevelDbHl, trial.Verdict == TrialVerdict.Heard)),
    ];

    private static MaskingPlateau Plateau(HandDial dial, PlateauSettings settings, MaskingAdvice advice) =>
        new($"Masking of the {(dial.Ear == Ear.Right ? "right" : "left")} ear at {dial.Frequency}{Words.TrialWords.By(dial.Route)}", dial.Ear, dial.Route, dial.Frequency.Hertz, advice.Points)
        {
            UnmaskedDbHl = settings.UnmaskedDbHl,
            OverMaskingFromDbEm = settings.OverMaskingFromDbEm,
            AcceptRiseDb = settings.RiseDb,
            Reason = advice.Sentence,
            Remedy = advice.Remedy,
            Next = advice is { ToneDbHl: { } tone, MaskerDbEm: { } masker, State: not PlateauState.Plateau } ? new PlateauMove(tone, masker) : null,
        };
}
