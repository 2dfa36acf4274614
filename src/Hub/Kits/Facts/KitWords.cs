using System.Globalization;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>A kit's facts as lines of its history.</summary>
internal static class KitWords
{
    public static string Of(KitFact fact) => fact switch
    {
        GearReported { Gear: { Calibration: { } record } gear } => string.Create(CultureInfo.InvariantCulture, $"The kit told its gear: unit {gear.UnitSerial}, transducer {gear.TransducerSerial}, certificate {record.CertificateId} of {record.CalibratedOn:d MMMM yyyy}."),
        GearReported { Gear: var gear } => $"The kit told its gear: unit {gear.UnitSerial}, transducer {gear.TransducerSerial}, no calibration record.",
        BaselineRecorded baseline => $"{baseline.By.Name} recorded a baseline of {baseline.PersonCode}{Source(baseline.From)}.",
        KnownEarChecked check => $"{check.By.Name} recorded a known-ear check of {check.PersonCode}{Source(check.From)}: {(check.Verdict == KnownEarVerdict.Passed ? "no shift of 10 dB or more" : KitJudgement.Asks(check.Verdict).TrimEnd('.').ToLowerInvariant())}.",
        FunctionChecked check => $"{check.By.Name} recorded a function check: {(KitJudgement.Passed(check) ? "all as it should be" : "not as it should be: " + string.Join(", ", KitJudgement.FailedLines(check)))}.",
        SidesProven sides => string.Create(CultureInfo.InvariantCulture, $"Left and right were proven with {sides.Tones} tones in session {sides.SessionId}."),
        KitMoved moved => $"{moved.By.Name} recorded that the kit is at: {moved.Place}.",
        LoanBegun loan => string.Create(CultureInfo.InvariantCulture, $"{loan.By.Name} recorded a loan from {loan.From:d MMMM yyyy} to {loan.To:d MMMM yyyy}: {loan.Place}."),
        LoanEnded ended => $"{ended.By.Name} recorded that the loan is over.",
        LookBackOpened opened => string.Create(CultureInfo.InvariantCulture, $"{opened.Reason} Sessions to be looked at again: {opened.Sessions.Count}."),
        SessionReviewed review => $"{review.By.Name} looked at session {review.SessionId} again.",
        _ => JourneyWords.Of(fact) ?? "Something this version cannot read.",
    };

    private static string Source(SessionId? from) => from is { } session ? $" from session {session}" : string.Empty;
}
