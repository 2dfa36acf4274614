using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Kits;

/// <summary>Checks the content of reports: finite numbers, known names, nothing missing. A report that fails is refused for good.</summary>
internal static class ReportValidator
{
    /// <summary>Levels a report may speak of, dB HL or dB SPL: wide enough for any gear, narrow enough to show a mistake.</summary>
    private const double WidestLevelDb = 200;

    /// <summary>Most trials of one threshold; far above what a search can need.</summary>
    private const int MostTrials = 1000;

    /// <summary>Most lines, bands or bounds in one result.</summary>
    private const int MostLines = 100;

    public static IReadOnlyList<string> Faults(JournaledReport journaled)
    {
        var faults = new Faults();
        faults.Need(double.IsFinite(journaled.KitMs), "The kit's time is not a number.");
        switch (journaled.Report)
        {
            case null:
                faults.Need(false, "The report is empty.");
                break;
            case TrialDone done:
                Trial(done.Trial, faults);
                break;
            case ThresholdFound found:
                Threshold(found.Threshold, faults);
                break;
            case StepEnded ended:
                Ended(ended, faults);
                break;
            case AssistantDone done:
                faults.Known(done.Stage, "stage");
                break;
            case ConsentAnsweredHere answered:
                faults.Known(answered.Purpose, "purpose");
                faults.Line(answered.Language, "the language");
                break;
            case CaseCounted counted:
                JourneyCommandValidator.Counts(counted.Counts, faults);
                faults.Need((counted.Photo?.Length ?? 0) <= CommandValidator.LongestLine, "The photo's id is too long.");
                break;
            case CasePacked packed:
                JourneyCommandValidator.Counts(packed.Counts, faults);
                JourneyCommandValidator.Counts(packed.Discarded, faults);
                faults.Need((packed.Photo?.Length ?? 0) <= CommandValidator.LongestLine, "The photo's id is too long.");
                faults.Need((packed.Seal?.Length ?? 0) <= CommandValidator.LongestLine, "The seal's number is too long.");
                break;
        }

        return faults.All;
    }

    private static void Trial(TrialRecord? trial, Faults faults)
    {
        if (trial is null)
        {
            faults.Need(false, "The trial is missing.");
            return;
        }

        faults.Known(trial.Ear, "ear");
        faults.Known(trial.Kind, "kind");
        faults.Known(trial.Shape, "shape");
        faults.Known(trial.Verdict, "verdict");
        faults.Known(trial.Route, "route");
        faults.Need(trial.MaskerDbEm is null || double.IsFinite(trial.MaskerDbEm.Value), "The trial's masker is not a number.");
        faults.Need(AudiometricFrequency.TryFromHertz(trial.FrequencyHz, out _), "The trial's frequency is not an audiometric one.");
        Level(trial.LevelDbHl, "the trial's level", faults);
        faults.Need(double.IsFinite(trial.OnsetKitMs), "The trial's onset is not a number.");
        faults.Need(double.IsFinite(trial.DurationMs) && trial.DurationMs >= 0, "The trial's duration is not a number.");
        faults.Need(trial.ReactionMs is null || double.IsFinite(trial.ReactionMs.Value), "The trial's reaction time is not a number.");
        faults.OptionalText(trial.VoidReason, "the reason why the trial is void");
        faults.Need(trial.Noise is { Count: <= MostLines } && trial.Noise.All(noise => noise is not null && AllFinite(noise.BandHz, noise.LevelDbSpl, noise.LimitDbSpl)), "The trial's noise is missing or not all numbers.");
    }

    private static void Masking(MaskingEvidence? masking, Faults faults)
    {
        if (masking is null)
        {
            return;
        }

        faults.Known(masking.Verdict, "verdict of masking");
        faults.Need(AllFinite(masking.InitialDbEm, masking.StepDb, masking.FinalDbEm ?? 0), "The levels of masking are not all numbers.");
        faults.Need(
            masking.Points is { Count: <= MostLines } && masking.Points.All(point => point is not null && AllFinite(point.MaskerDbEm, point.ToneDbHl)),
            "The points of masking are missing, too many, or not all numbers.");
        faults.OptionalText(masking.Reason, "the reason of masking");
        faults.OptionalText(masking.Remedy, "the remedy of masking");
    }

    private static void Threshold(ThresholdRecord? threshold, Faults faults)
    {
        if (threshold is null)
        {
            faults.Need(false, "The threshold is missing.");
            return;
        }

        faults.Known(threshold.Ear, "ear");
        faults.Known(threshold.Rule, "rule");
        faults.Known(threshold.Route, "route");
        faults.Known(threshold.Method, "method");
        Masking(threshold.Masking, faults);
        faults.Need(
            threshold.Estimate is not { } estimate || AllFinite(estimate.MedianDbHl, estimate.LowerDbHl, estimate.UpperDbHl, estimate.CredibleShare, estimate.SdDb, estimate.MeanDbHl),
            "The estimate is not all numbers.");
        faults.Need(AudiometricFrequency.TryFromHertz(threshold.FrequencyHz, out _), "The threshold's frequency is not an audiometric one.");
        faults.Need(threshold.RoomBoundDbHl is null || double.IsFinite(threshold.RoomBoundDbHl.Value), "The room's bound is not a number.");
        faults.Need(threshold.Gear is not null, "The gear of the threshold is missing.");
        switch (threshold.Outcome)
        {
            case ThresholdOutcome.Established established:
                Level(established.LevelDbHl, "the threshold", faults);
                break;
            case ThresholdOutcome.NoResponseAtLimit limit:
                Level(limit.LimitDbHl, "the limit", faults);
                break;
            case ThresholdOutcome.NoiseLimited limited:
                Level(limited.BoundDbHl, "the bound", faults);
                break;
            case ThresholdOutcome.NotEstablished not:
                faults.Text(not.Reason, "the reason why there is no threshold");
                break;
            default:
                faults.Need(false, "The outcome is missing.");
                break;
        }

        faults.Need(threshold.Trials is { Count: <= MostTrials }, $"The trials are missing or more than {MostTrials}.");
        foreach (var trial in threshold.Trials?.Take(MostTrials) ?? [])
        {
            Trial(trial, faults);
        }
    }

    private static void Ended(StepEnded ended, Faults faults)
    {
        faults.Known(ended.Ending, "ending");
        faults.OptionalText(ended.Code, "the code");
        faults.OptionalText(ended.Reason, "the reason");
        switch (ended.Result)
        {
            case KitCheckResult check:
                faults.Need(check.Lines is { Count: <= MostLines } && check.Lines.All(line => line is { Code: not null, Label: not null, Finding: not null }), "The kit check has no lines, or a line without code, label or finding.");
                break;
            case RoomResult { NotMeasured: { } reason } room:
                faults.OptionalText(reason, "the reason");
                faults.Need(
                    reason.Length > 0 && room.Bands is { Count: 0 } && room.HighestBands is { Count: 0 } && room.LowestProvable is { Count: 0 } && double.IsFinite(room.DurationSeconds),
                    "A room that was not measured has no levels and no bounds, and says why.");
                break;
            case RoomResult room:
                faults.Known(room.Criterion, "limits");
                faults.Need(
                    room.Bands is { Count: > 0 and <= MostLines } && room.Bands.All(band => band is not null && AllFinite(band.BandHz, band.LevelDbSpl))
                    && room.HighestBands is { Count: > 0 and <= MostLines } && room.HighestBands.All(band => band is not null && AllFinite(band.BandHz, band.LevelDbSpl))
                    // An empty list would pass for a room that hides nothing.
                    && room.LowestProvable is { Count: > 0 and <= MostLines } && room.LowestProvable.All(bound => bound is not null && AllFinite(bound.LevelDbHl, bound.LimitingBandHz))
                    && (room.LowestProvableBone is null || (room.LowestProvableBone.Count <= MostLines && room.LowestProvableBone.All(bound => bound is not null && AllFinite(bound.LevelDbHl, bound.LimitingBandHz))))
                    && double.IsFinite(room.DurationSeconds),
                    "The room's levels are missing or not all numbers.");
                break;
            case SideProofResult sides:
                faults.Need(sides.Trials is { Count: <= MostLines } && sides.Trials.All(trial => trial is not null), "The side proof has no trials.");
                break;
        }
    }

    private static void Level(double level, string what, Faults faults) => faults.InRange(level, -WidestLevelDb, WidestLevelDb, what, "dB");

    private static bool AllFinite(params ReadOnlySpan<double> values)
    {
        foreach (var value in values)
        {
            if (!double.IsFinite(value))
            {
                return false;
            }
        }

        return true;
    }
}
