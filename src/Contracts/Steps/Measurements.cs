using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Contracts;

/// <summary>Threshold records as protocols, masking and the judgement of an ear look at them.</summary>
public static class Measurements
{
    /// <summary>A record without its evidence, but with what its trials say of its quality.</summary>
    public static Measurement ToMeasurement(this ThresholdRecord record)
    {
        ArgumentNullException.ThrowIfNull(record);
        return new Measurement(record.Ear, record.Route, record.FrequencyHz, record.Outcome)
        {
            Method = record.Method,
            Masking = record.Masking,
            TransducerKind = record.Route == ConductionRoute.Air ? record.Gear.TransducerKind : null,
            Tally = Tally(record.Trials),
        };
    }

    /// <summary>Every threshold of a session, earlier ones first, so that of several of one kind the last counts.</summary>
    public static IReadOnlyList<Measurement> AllMeasurements(this SessionView view)
    {
        ArgumentNullException.ThrowIfNull(view);
        return [.. view.Superseded.Concat(view.Thresholds).Select(ToMeasurement)];
    }

    private static TrialTally Tally(IReadOnlyList<TrialRecord> trials)
    {
        var tones = trials.Where(trial => trial.Kind == TrialKind.Tone && trial.Verdict is TrialVerdict.Heard or TrialVerdict.NotHeard).ToList();
        var ascents = tones.Where(trial => trial is { Ascending: true, Verdict: TrialVerdict.Heard }).Select(trial => trial.LevelDbHl).ToList();
        return new TrialTally(
            tones.Count,
            trials.Count(trial => trial.Verdict is TrialVerdict.FalseResponse or TrialVerdict.CorrectSilence),
            trials.Count(trial => trial.Verdict == TrialVerdict.FalseResponse),
            trials.Sum(trial => trial.EarlyResponses),
            trials.Count(trial => trial.Verdict == TrialVerdict.Void && trial.Noise.Any(band => band.LevelDbSpl > band.LimitDbSpl)),
            ascents.Count == 0 ? 0 : ascents.Max() - ascents.Min(),
            trials.Count == 0 ? 0 : (trials[^1].OnsetKitMs + trials[^1].DurationMs - trials[0].OnsetKitMs) / 1000);
    }
}
