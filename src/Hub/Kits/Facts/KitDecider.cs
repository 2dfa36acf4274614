using System.Globalization;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>What a kit command comes to: facts, or a refusal.</summary>
internal sealed record KitDecision(IReadOnlyList<KitFact> Facts, Refusal? Refusal)
{
    public static KitDecision Of(params IReadOnlyList<KitFact> facts) => new(facts, null);

    public static KitDecision Refuse(Refusal refusal) => new([], refusal);

    public static KitDecision Refuse(string code, string sentence, string? remedy = null) => new([], new Refusal(code, sentence, remedy));
}

/// <summary>Decides what is recorded about a kit. Pure.</summary>
internal static class KitDecider
{
    public static KitDecision Decide(KitState state, KitCommand command, Actor by, KitContext context) => command switch
    {
        RecordBaseline baseline => Baseline(state, baseline, by, context),
        RecordKnownEar check => KnownEar(state, check, by, context),
        RecordFunctionCheck check => Function(state, check, by, context),
        RecordMove move => KitDecision.Of(new KitMoved(move.Place.Trim(), move is { PressureKPa: null, AltitudeM: null } ? null : AtmosphericPressure.Of(move.PressureKPa, move.AltitudeM), by)),
        ReviewSession review => Review(state, review, by),
        _ => JourneyDecider.Decide(new JourneyAsk(state, by, context), command),
    };

    /// <summary>What a kit's word about its gear comes to: nothing while it is the same.</summary>
    public static IReadOnlyList<KitFact> Reported(KitState state, KitGear gear, KitContext context)
    {
        if (Same(state.Gear, gear))
        {
            return [];
        }

        // Compared with the last record of the same transducer, even when the kit had none or another transducer for a while in between.
        var before = state.Calibrations.LastOrDefault(known => known.Record.TransducerSerial == gear.Calibration?.TransducerSerial)?.Record;
        var off = KitJudgement.OutOfTolerance(before, gear.Calibration);
        if (off.Count == 0)
        {
            return [new GearReported(gear)];
        }

        var since = new DateTimeOffset(before!.CalibratedOn, TimeOnly.MinValue, TimeSpan.Zero);
        var worst = off.MaxBy(change => Math.Abs(change.ShiftDb!.Value))!;
        var reason = string.Create(
            CultureInfo.InvariantCulture,
            $"Certificate {gear.Calibration!.CertificateId} found the kit changed by {worst.ShiftDb:+0.0;-0.0} dB at {worst.FrequencyHz} Hz, {(worst.Ear == Audiology.Ear.Right ? "right" : "left")} ear, more than its tolerance, since certificate {before.CertificateId}.");
        return [new GearReported(gear), LookBack(reason, since, context)];
    }

    private static KitDecision Baseline(KitState state, RecordBaseline baseline, Actor by, KitContext context)
    {
        var holds = KitHolds.Of(state, context.Others, context.Today).Where(hold => hold.ForbidsTesting).Select(hold => hold.Sentence).ToList();
        return state.Calibration is null
            ? KitDecision.Refuse(RefusalCodes.CertificateMissing, "A baseline is taken with a calibrated kit, and this kit has told no calibration.", "Link the kit to the hub once, with its calibration record in place.")
            : holds.Count > 0
            ? KitDecision.Refuse(RefusalCodes.KitHeld, "A baseline is taken while the kit is known to be right. " + string.Join(" ", holds), "See to that first.")
            : KitDecision.Of(new BaselineRecorded(baseline.PersonCode, baseline.Levels, by) { From = baseline.From });
    }

    private static KitDecision KnownEar(KitState state, RecordKnownEar check, Actor by, KitContext context)
    {
        if (state.Baselines.FirstOrDefault(known => known.Fact.PersonCode == check.PersonCode).Fact is not { } baseline)
        {
            return KitDecision.Refuse(RefusalCodes.KnownEarUnknown, $"{check.PersonCode} has no baseline with this kit.", "Record a baseline of this person while the kit is known to be right, or check with a person who has one.");
        }

        if (KnownEarRules.WithoutBaseline(baseline.Levels, check.Levels) is { } missing)
        {
            return KitDecision.Refuse(RefusalCodes.Invalid, missing, "Leave these out, or record a new baseline.");
        }

        var shifts = KnownEarRules.Compare(baseline.Levels, check.Levels);
        var verdict = KnownEarRules.Verdict(shifts);
        var happened = new KnownEarChecked(check.PersonCode, shifts, verdict, state.Calibration?.CertificateId, by) { From = check.From };
        if (verdict == KnownEarVerdict.Passed)
        {
            return KitDecision.Of(happened);
        }

        var worst = shifts.MaxBy(shift => Math.Abs(shift.ShiftDb))!;
        var reason = string.Create(
            CultureInfo.InvariantCulture,
            $"The known-ear check of {check.PersonCode} found a shift of {worst.ShiftDb:+0.#;-0.#} dB at {worst.FrequencyHz} Hz, {(worst.Ear == Audiology.Ear.Right ? "right" : "left")} ear.");
        return KitDecision.Of(happened, LookBack(reason, KitJudgement.LastGoodKnownEar(state), context));
    }

    private static KitDecision Function(KitState state, RecordFunctionCheck check, Actor by, KitContext context)
    {
        var happened = new FunctionChecked(check.Answers, string.IsNullOrWhiteSpace(check.Note) ? null : check.Note.Trim(), by);
        if (JourneyRefusals.WhyNot(state, KitJudgement.Passed(happened) ? KitTrigger.PassFunctionCheck : KitTrigger.FailFunctionCheck, []) is { } refusal)
        {
            return KitDecision.Refuse(refusal);
        }

        return KitJudgement.Passed(happened)
            ? KitDecision.Of(happened)
            : KitDecision.Of(happened, LookBack($"The function check failed: {string.Join(", ", KitJudgement.FailedLines(happened))}.", KitJudgement.LastGoodFunction(state), context));
    }

    private static KitDecision Review(KitState state, ReviewSession review, Actor by) =>
        state.LookBacks.Any(list => list.Number == review.LookBack && list.Fact.Sessions.Contains(review.SessionId))
            ? KitDecision.Of(new SessionReviewed(review.LookBack, review.SessionId, review.Note.Trim(), by))
            : KitDecision.Refuse(RefusalCodes.LookBackUnknown, "This session is not on that list.", "Look at the page as it is now.");

    private static LookBackOpened LookBack(string reason, DateTimeOffset? since, KitContext context) => new(
        reason,
        since,
        [.. context.Sessions
            .Where(use => use.Stage != SessionStage.Scheduled && (since is null || use.LastActive >= since))
            .OrderBy(use => use.LastActive)
            .Select(use => use.SessionId)]);

    private static bool Same(KitGear? known, KitGear told) =>
        known is not null
        && (known.UnitSerial, known.TransducerSerial, known.TransducerKind, known.Use) == (told.UnitSerial, told.TransducerSerial, told.TransducerKind, told.Use)
        && (known.Calibration is null ? told.Calibration is null : known.Calibration.Equals(told.Calibration));
}
