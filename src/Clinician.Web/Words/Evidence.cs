using TeleHearing.Audiology;
using TeleHearing.Audiology.Noise;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Charts;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Gathers from a picture what the screens show together. No judgement of its own.</summary>
public static class Evidence
{
    /// <summary>The audiogram of a session.</summary>
    public static Audiogram ChartOf(SessionView view, AudiogramCursor? cursor = null) =>
        new($"Audiogram of {view.Person.Name}", [.. Points(view.Superseded, superseded: true), .. Points(view.Thresholds, superseded: false)])
        {
            LowestProvable = view.Room?.LowestProvable ?? [],
            Cursor = cursor,
        };

    /// <summary>The masked measurement of every ear, route and frequency that was masked: the one that stands, or else the last, also one that came to nothing.</summary>
    public static IReadOnlyList<ThresholdRecord> Masked(SessionView view) =>
    [
        .. view.Superseded.Concat(view.Thresholds)
            .Where(threshold => threshold.Masking is not null)
            .GroupBy(threshold => (threshold.Ear, threshold.Route, threshold.FrequencyHz))
            .OrderBy(group => group.Key)
            .Select(group => group.Last()),
    ];

    /// <summary>The latest trials, newest first.</summary>
    public static IReadOnlyList<TrialRecord> LatestTrials(SessionView view, int atMost)
    {
        var trials = view.RecentTrials ?? [.. view.Thresholds.Where(threshold => threshold.StepId != view.Step?.StepId).SelectMany(threshold => threshold.Trials), .. view.Step?.Trials ?? []];
        return [.. trials.Reverse().Take(atMost)];
    }

    /// <summary>Presses in silence and silent trials over the whole session, as far as the picture carries them.</summary>
    public static (int FalseResponses, int CatchTrials) Catches(SessionView view)
    {
        var measured = view.Thresholds.Concat(view.Superseded).ToList();
        var inHand = view.Step is { } step && measured.All(threshold => threshold.StepId != step.StepId) ? step.Trials : [];
        var catches = measured.SelectMany(threshold => threshold.Trials).Concat(inHand)
            .Where(trial => trial.Verdict is TrialVerdict.FalseResponse or TrialVerdict.CorrectSilence)
            .ToList();
        return (catches.Count(trial => trial.Verdict == TrialVerdict.FalseResponse), catches.Count);
    }

    /// <summary>The lowest provable level at a frequency, if the room was measured there.</summary>
    public static LowestProvableLevel? BoundAt(SessionView view, AudiometricFrequency frequency) =>
        view.Room?.LowestProvable.FirstOrDefault(level => level.FrequencyHz == frequency.Hertz);

    private static IEnumerable<AudiogramPoint> Points(IEnumerable<ThresholdRecord> thresholds, bool superseded) =>
        from threshold in thresholds
        let known = AudiometricFrequency.TryFromHertz(threshold.FrequencyHz, out var frequency) ? frequency : (AudiometricFrequency?)null
        where known is not null
        select new AudiogramPoint(threshold.Ear, known.Value, threshold.Outcome, superseded) { Route = threshold.Route, Masked = threshold.Masking is not null, Estimate = threshold.Method == ThresholdMethod.Estimate, Interval = threshold.Estimate is { } estimate ? new CredibleInterval(estimate.LowerDbHl, estimate.UpperDbHl, estimate.CredibleShare) : null };
}
