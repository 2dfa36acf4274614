using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Folds facts into what they come to. Pure.</summary>
internal static class KitFold
{
    public static KitState Apply(KitState state, RecordedFact recorded)
    {
        var at = recorded.At;
        var next = recorded.Fact switch
        {
            GearReported reported => WithGear(state, at, reported.Gear),
            BaselineRecorded baseline => state with { Baselines = [.. state.Baselines.Where(known => known.Fact.PersonCode != baseline.PersonCode), (at, baseline)] },
            KnownEarChecked check => WithKnownEar(state, at, check),
            FunctionChecked check => state with { FunctionChecks = [.. state.FunctionChecks, (at, check)] },
            SidesProven sides => state with { Sides = (at, sides) },
            KitMoved moved => state with { Site = (at, moved), MovedAt = at },
            LookBackOpened opened => state with { LookBacks = [.. state.LookBacks, (recorded.Sequence, at, opened)] },
            SessionReviewed review => state with
            {
                Reviews = new Dictionary<(long, SessionId), (DateTimeOffset, SessionReviewed)>(state.Reviews) { [(review.LookBack, review.SessionId)] = (at, review) },
            },
            _ => state,
        };
        return JourneyFold.Apply(next, recorded) with { Version = recorded.Sequence, LastAt = at, History = state.History.Add(recorded) };
    }

    private static KitState WithGear(KitState state, DateTimeOffset at, KitGear gear)
    {
        var next = state with { Gear = gear };
        if (gear.Calibration is not { } record || record.Equals(state.Calibrations.LastOrDefault()?.Record))
        {
            return next;
        }

        var before = state.Calibrations.LastOrDefault(known => known.Record.TransducerSerial == record.TransducerSerial)?.Record;
        var shifts = CertificateComparison.Changes(before, record).Where(change => change.ShiftDb is not null).Select(change => change.ShiftDb!.Value).ToList();
        return next with
        {
            Calibrations = [.. state.Calibrations, new KnownCalibration(at, record, shifts.Count == 0 ? null : shifts.MaxBy(Math.Abs))],
            KnownEarFailure = LiftsFailure(state, record) ? null : state.KnownEarFailure,
            PartsReplacedOn = record.CalibratedOn >= state.PartsReplacedOn ? null : state.PartsReplacedOn,
        };
    }

    // A certificate that was there before, or that was made before the day of the failure, says nothing about what failed.
    private static bool LiftsFailure(KitState state, CalibrationRecord record) =>
        state.KnownEarFailure is { } failure
        && record.CalibratedOn >= KitJudgement.Day(failure.At)
        && (state.Calibrations.LastOrDefault()?.Record is not { } last || (record.CertificateId != last.CertificateId && record.CalibratedOn > last.CalibratedOn));

    private static KitState WithKnownEar(KitState state, DateTimeOffset at, KnownEarChecked check)
    {
        var failure = check.Verdict != KnownEarVerdict.Passed
            ? (at, check)
            // The same ear again proves nothing: it may have been the ear that had moved. A second one tells the ear from the kit.
            : state.KnownEarFailure is { } open && open.Fact.PersonCode != check.PersonCode ? null : state.KnownEarFailure;
        return state with { KnownEarChecks = [.. state.KnownEarChecks, (at, check)], KnownEarFailure = failure };
    }
}
