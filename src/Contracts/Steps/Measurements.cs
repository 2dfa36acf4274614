using TeleHearing.Audiology;
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
        var counter = new TrialCounter();
        foreach (var trial in trials)
        {
            var level = HearingLevel.FromDecibels(trial.LevelDbHl);
            counter.Add(
                trial.Kind == TrialKind.Tone ? new SearchMove.PresentTone(level, trial.Ascending) { MaskerDbEm = trial.MaskerDbEm } : new SearchMove.PresentCatch(level) { MaskerDbEm = trial.MaskerDbEm },
                trial.ToAnswer());
        }

        return counter.Tally(trials.Count == 0 ? 0 : (trials[^1].OnsetKitMs + trials[^1].DurationMs - trials[0].OnsetKitMs) / 1000);
    }

    /// <summary>A trial as a search is told of it.</summary>
    public static TrialAnswer ToAnswer(this TrialRecord trial)
    {
        ArgumentNullException.ThrowIfNull(trial);
        return trial.Verdict switch
        {
            TrialVerdict.Heard or TrialVerdict.FalseResponse => TrialAnswer.Heard,
            TrialVerdict.NotHeard or TrialVerdict.CorrectSilence => TrialAnswer.NotHeard,
            _ when trial.Noise.Any(band => band.LevelDbSpl > band.LimitDbSpl) => TrialAnswer.NoiseVoid,
            _ when trial.EarlyResponses > 0 => TrialAnswer.EarlyPress,
            _ => TrialAnswer.OtherVoid,
        };
    }
}
