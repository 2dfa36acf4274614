using System.Globalization;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>What the facts of a kit mean on a day: what holds it, and what is due. Pure.</summary>
internal static class KitJudgement
{
    /// <summary>Last day of the calibration in use by the rule for the kit's use; absent without one.</summary>
    public static DateOnly? HoldsUntil(KitState state) =>
        state.Gear is { Calibration: { } record } gear ? CalibrationValidity.HoldsUntil(record, gear.Use) : null;

    /// <summary>What forbids sending or using the kit, as sentences; empty when nothing does, also for a kit that never told its gear.</summary>
    /// <param name="state">The kit.</param>
    /// <param name="others">The other kits of the clinic.</param>
    /// <param name="today">The hub's day.</param>
    public static IReadOnlyList<string> Holds(KitState state, IEnumerable<KitState> others, DateOnly today) =>
        [.. KitHolds.Of(state, others, today).Select(hold => hold.Sentence)];

    /// <summary>What forbids testing a person with the kit, as sentences. A known ear may listen to a kit that a check holds: how else could a second person tell the ear from the kit?</summary>
    /// <param name="state">The kit.</param>
    /// <param name="others">The other kits of the clinic.</param>
    /// <param name="today">The hub's day.</param>
    /// <param name="personReference">The clinic's reference of the person; that of a known ear is its code.</param>
    /// <param name="sessions">Sessions of the kit: whom it was used with since it was cleaned.</param>
    public static IReadOnlyList<string> HoldsOnTesting(KitState state, IEnumerable<KitState> others, DateOnly today, string personReference, IReadOnlyList<KitSessionUse> sessions)
    {
        var knownEar = state.Baselines.Any(known => known.Fact.PersonCode == personReference);
        return
        [
            .. KitStages.ServesAnybody(state.Stage) || (knownEar && KitStages.ServesKnownEars(state.Stage))
                ? Array.Empty<string>()
                : [$"By its record this kit is {KitStages.InWords(state.Stage)}, so it cannot be used in a session. Have the coordinator put the record right if the kit is in front of you."],
            .. KitHolds.Of(state, others, today).Where(hold => hold.ForbidsTesting && !(knownEar && hold.Kind == KitHoldKind.CheckFailed)).Select(hold => hold.Sentence),
            .. state.LastUse is { } last && sessions.FirstOrDefault(use => use.SessionId == last)?.PersonReference != personReference
                ? ["The kit was used with another person, and nobody has signed since then that it is clean. Clean what touched skin or canal, then sign it on the kit's page."]
                : Array.Empty<string>(),
        ];
    }

    /// <summary>Why what is recorded of the kit cannot be trusted, as sentences.</summary>
    internal static IEnumerable<string> Doubts(KitState state, IEnumerable<KitState> others) => [.. DamageHolds(state), .. SharedSerials(state, others)];

    /// <summary>What its coordinator should see to, as sentences.</summary>
    /// <param name="state">The kit.</param>
    /// <param name="today">The clinic's day.</param>
    /// <param name="limits">What readings of its parcels are held against; absent for the band in which gear keeps its specification.</param>
    public static IReadOnlyList<string> Due(KitState state, DateOnly today, ParcelLimits? limits = null)
    {
        var due = new List<string>();
        if (state.Gear is null)
        {
            due.Add("This kit has not told its calibration yet: switch it on and link it once.");
        }
        else if (HoldsUntil(state) is { } until && CalibrationValidity.Standing(until, today) == CalibrationStanding.EndsSoon)
        {
            due.Add(string.Create(CultureInfo.InvariantCulture, $"The calibration ends on {until:d MMMM yyyy}, in {Days(CalibrationValidity.DaysLeft(until, today))}: book the laboratory."));
        }

        if (WhyKnownEarDue(state, today) is { } why)
        {
            due.Add(why);
        }

        // A baseline is what the kit gave when it was taken; after a laboratory has set the kit anew it may give something else.
        foreach (var (at, baseline) in state.Baselines.Where(known => state.Calibrations is [_, .., var newest] && known.At < newest.At))
        {
            due.Add(string.Create(CultureInfo.InvariantCulture, $"The baseline of {baseline.PersonCode} of {at:d MMMM yyyy} was taken before the calibration in use: take a new one."));
        }

        if (state.Site?.Fact.PressureKPa is { } pressure && AtmosphericPressure.Caution(pressure) is { } air)
        {
            due.Add(air);
        }

        if (state.FunctionChecks.LastOrDefault().Fact is null || state.MovedAt > state.FunctionChecks[^1].At)
        {
            due.Add(state.FunctionChecks.Count == 0 ? "This kit has no function check yet." : "The kit was moved or came back since the last function check.");
        }

        if (state.WaitingForReview() is > 0 and var waiting)
        {
            due.Add(waiting == 1 ? "One session waits to be looked at again." : string.Create(CultureInfo.InvariantCulture, $"{waiting} sessions wait to be looked at again."));
        }

        due.AddRange(JourneyDue.Of(state, today, limits ?? ParcelLimits.Operating));

        return due;
    }

    /// <summary>Why a known-ear check is due; absent when none is.</summary>
    public static string? WhyKnownEarDue(KitState state, DateOnly today) => KnownEarRules.WhyDue(
        state.KnownEarChecks.Count == 0 ? null : Day(state.KnownEarChecks[^1].At),
        state.KnownEarChecks.Count > 0 && state.MovedAt > state.KnownEarChecks[^1].At,
        today);

    /// <summary>What to know about the calibration in use, as sentences.</summary>
    public static IReadOnlyList<string> Cautions(KitState state)
    {
        var cautions = new List<string>();
        if (state.Calibration is { } record)
        {
            var before = state.Calibrations.LastOrDefault(known => known.Record.TransducerSerial == record.TransducerSerial && known.Record.CertificateId != record.CertificateId)?.Record;
            if (CertificateComparison.LooksSwapped(before, record))
            {
                cautions.Add("Left and right look exchanged against the certificate before. Whoever put it in place confirmed it; make sure with the laboratory.");
            }

            if (record.PressureKPa is { } pressure && AtmosphericPressure.Caution(pressure) is { } atLaboratory)
            {
                cautions.Add("At the laboratory: " + atLaboratory);
            }
        }

        if (state.Site?.Fact.PressureKPa is { } site && AtmosphericPressure.Caution(site) is { } here)
        {
            cautions.Add(here);
        }

        return cautions;
    }

    /// <summary>When the kit was last known to be right before a known-ear check.</summary>
    public static DateTimeOffset? LastGoodKnownEar(KitState state) =>
        Latest([.. state.KnownEarChecks.Where(check => check.Fact.Verdict == KnownEarVerdict.Passed).Select(check => check.At), .. Calibrated(state)]);

    /// <summary>When the kit was last known to be right before a function check.</summary>
    public static DateTimeOffset? LastGoodFunction(KitState state) =>
        Latest([.. state.FunctionChecks.Where(check => Passed(check.Fact)).Select(check => check.At), .. Calibrated(state)]);

    /// <summary>Whether every line of a function check was as it should be.</summary>
    public static bool Passed(FunctionChecked check) => check.Answers.Count > 0 && check.Answers.All(answer => answer.Passed);

    /// <summary>Whether a transducer's levels changed so far between two calibrations that results made in between must be looked at, and which they were.</summary>
    public static IReadOnlyList<CalibrationChange> OutOfTolerance(CalibrationRecord? before, CalibrationRecord? after) =>
        before is null || after is null || before.TransducerSerial != after.TransducerSerial || before.CertificateId == after.CertificateId
            ? []
            : [.. CertificateComparison.Changes(before, after).Where(change => change.IsOutOfTolerance)];

    // A failed check may be what was taken away or altered: facts that are not whole clear nothing.
    private static IEnumerable<string> DamageHolds(KitState state) => state.BrokenAt is { } sequence
        ? [string.Create(CultureInfo.InvariantCulture, $"What is recorded about this kit was changed from outside at entry {sequence}, so nobody knows whether a check failed. Keep the data folder as it is and tell the owner.")]
        : [];

    /// <summary>Why its calibration cannot be used, as sentences.</summary>
    internal static IEnumerable<string> CalibrationFaults(KitState state, DateOnly today)
    {
        if (state.Gear is not { } gear)
        {
            yield break;
        }

        foreach (var fault in CalibrationRules.Faults(gear.Calibration, today, gear.UnitSerial, gear.TransducerSerial))
        {
            yield return fault.Sentence;
        }

        if (gear.Calibration is { } record && record.TransducerKind != gear.TransducerKind)
        {
            yield return $"Certificate {record.CertificateId} is for {GearNames.Words(record.TransducerKind)}; the kit has {GearNames.Words(gear.TransducerKind)}.";
        }

        if (gear.Calibration is { } made && made.ValidUntil >= today && CalibrationValidity.HoldsUntil(made, gear.Use) is var until && until < today)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"The calibration held until {until:d MMMM yyyy}: {CalibrationValidity.Months(gear.Use)} months from the day it was made.");
        }
    }

    private static IEnumerable<string> SharedSerials(KitState state, IEnumerable<KitState> others) => state.Gear is not { } gear
        ? []
        : others
            .Where(other => other.KitId != state.KitId && other.Gear?.TransducerSerial == gear.TransducerSerial)
            .Select(other => other.Gear!.UnitSerial == gear.UnitSerial
                ? $"Unit {gear.UnitSerial} and transducer {gear.TransducerSerial} are reported by {other.KitId} as well. One serial number cannot be in two kits: find out which is right."
                : $"Transducer {gear.TransducerSerial} is reported by {other.KitId} as well. One serial number cannot be in two kits: find out which is right.");

    /// <summary>Which checks failed and were not made good, as sentences.</summary>
    internal static IEnumerable<string> FailedChecks(KitState state)
    {
        if (state.KnownEarFailure is { } failure)
        {
            yield return string.Create(
                CultureInfo.InvariantCulture,
                $"The known-ear check of {failure.At:d MMMM yyyy} found a shift of {failure.Fact.Shifts.Max(shift => Math.Abs(shift.ShiftDb)):0.#} dB. {Asks(failure.Fact.Verdict)} Until a newer certificate, made on that day or later, is in place, or a second known person finds no shift, the kit is not used.");
        }

        if (state.FunctionChecks.LastOrDefault().Fact is { } last && !Passed(last))
        {
            yield return "The last function check failed: " + string.Join(", ", FailedLines(last)) + ".";
        }
    }

    /// <summary>What a verdict asks for.</summary>
    public static string Asks(KnownEarVerdict verdict) => verdict switch
    {
        KnownEarVerdict.ExhaustiveNeeded => "An exhaustive calibration is needed.",
        KnownEarVerdict.CalibrationNeeded => "An acoustic calibration is needed.",
        _ => "No calibration is needed.",
    };

    /// <summary>Titles of the lines that were not as they should be.</summary>
    public static IEnumerable<string> FailedLines(FunctionChecked check) => check.Answers
        .Where(answer => !answer.Passed)
        .Select(answer => (FunctionLines.All.FirstOrDefault(line => line.Code == answer.Code)?.Title ?? answer.Code).ToLowerInvariant());

    // The day of a calibration has no hour; sessions of that day are counted as after it, which looks at one too many rather than at one too few.
    private static IEnumerable<DateTimeOffset> Calibrated(KitState state) =>
        state.Calibration is { } record ? [new DateTimeOffset(record.CalibratedOn, TimeOnly.MinValue, TimeSpan.Zero)] : [];

    private static DateTimeOffset? Latest(IReadOnlyList<DateTimeOffset> times) => times.Count == 0 ? null : times.Max();

    /// <summary>The day of a moment, as facts are dated.</summary>
    public static DateOnly Day(DateTimeOffset at) => DateOnly.FromDateTime(at.UtcDateTime);

    private static string Days(int days) => days == 1 ? "1 day" : string.Create(CultureInfo.InvariantCulture, $"{days} days");
}
