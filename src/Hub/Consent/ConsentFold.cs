using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Consent;

/// <summary>Makes the ledger from events, older ones among them. Pure.</summary>
internal static class ConsentFold
{
    public static ConsentLedger Apply(ConsentLedger ledger, RecordedEvent recorded) => recorded.Event switch
    {
        ConsentAnswered e => ledger.With(new ConsentEntry(
            e.Purpose,
            e.Given ? ConsentStanding.Given : ConsentStanding.Declined,
            e.Text,
            e.AnsweredBy,
            e.How,
            e.FailurePlanExplained,
            e.InPersonOffered,
            recorded.Sequence,
            recorded.At,
            e.Recorder.Name)),
        ConsentTakenBack e => ledger.Without(e.Purposes, new ConsentWithdrawal(recorded.Sequence, recorded.At, e.TakenBackBy, e.How, e.Reason, e.Recorder.Name)),
        ConsentGiven e => Sheet(ledger, e, recorded),
        ConsentWithdrawn e => ledger.Without(ConsentPurposes.All, new ConsentWithdrawal(recorded.Sequence, recorded.At, ConsentParty.Themself, null, e.Reason, e.By.Name)),
        _ => ledger,
    };

    // A sheet stood for everything at once: what it left out was not given any more.
    private static ConsentLedger Sheet(ConsentLedger ledger, ConsentGiven given, RecordedEvent recorded)
    {
        var sheet = given.Consent;
        var left = ConsentPurposes.All.Except(sheet.Answers.Select(answer => answer.Purpose));
        return ledger
            .Without(left, new ConsentWithdrawal(recorded.Sequence, recorded.At, ConsentParty.Themself, null, "left out of the sheet that replaced it", given.By.Name))
            .With(sheet.Answers.Select(answer => new ConsentEntry(
                answer.Purpose,
                answer.Given ? ConsentStanding.Given : ConsentStanding.Declined,
                new ConsentTextShown(sheet.WordingVersion, sheet.Language, null),
                ConsentParty.Themself with { AsWritten = sheet.GivenBy },
                null,
                sheet.FailurePlanExplained,
                sheet.InPersonOffered,
                recorded.Sequence,
                recorded.At,
                given.By.Name)));
    }
}
