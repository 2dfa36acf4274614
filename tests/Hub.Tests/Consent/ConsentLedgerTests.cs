using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Consent;

/// <summary>The ledger covers a purpose when the last answer to it was yes and nobody took it back. Source: the project's own reference, practice.md section 2 (consent is a ledger entry by purpose, and can be withdrawn).</summary>
public sealed class ConsentLedgerTests
{
    private static readonly Actor _by = new("maren", "Maren Toft");

    private static Config Seeded => Config.QuickThrowOnFailure.WithMaxTest(500).WithEndSize(60).WithReplay(20260304, 7);

    [Fact]
    public void InAnyOrderAPurposeIsCoveredExactlyWhenItsLastWordIsYes() =>
        Check.One(Seeded, Prop.ForAll(Happenings().ToArbitrary(), happened =>
        {
            var ledger = Fold(happened);
            foreach (var purpose in ConsentPurposes.All)
            {
                Assert.Equal(LastWord(happened, purpose), ledger.Covers(purpose));
            }

            Assert.Equal(ledger.AnyGiven, ledger.Covered.Count > 0);
        }));

    [Fact]
    public void NoAnswerIsEverLost() =>
        Check.One(Seeded, Prop.ForAll(Happenings().ToArbitrary(), happened =>
        {
            var ledger = Fold(happened);

            Assert.Equal(happened.OfType<ConsentAnswered>().Count() + happened.OfType<ConsentGiven>().Sum(sheet => sheet.Consent.Answers.Count), ledger.Entries.Count);
            Assert.All(ledger.Entries, entry => Assert.Equal(entry.Standing == ConsentStanding.Withdrawn, entry.Withdrawn is not null));
        }));

    [Fact]
    public void ASheetOfEarlierTimesIsReadAsEntries()
    {
        var ledger = Fold([new ConsentGiven(Samples.Sheet, _by)]);

        var care = ledger.Of(ConsentPurpose.Care)!;
        Assert.Equal((ConsentStanding.Given, new ConsentTextShown("1", "en", null), "the person", "Maren Toft"), (care.Standing, care.Text, care.By.InWords(), care.RecordedBy));
        Assert.Null(care.How);
        Assert.Equal(ConsentStanding.Declined, ledger.Of(ConsentPurpose.Images)!.Standing);
        Assert.False(Fold([new ConsentGiven(Samples.Sheet, _by), new ConsentWithdrawn("tired", _by)]).AnyGiven);
    }

    [Fact]
    public void ARefusalNamesEveryPurposeThatIsMissing()
    {
        var ledger = Fold([Answered(ConsentPurpose.Care, true), Answered(ConsentPurpose.Images, false)]);

        var refusal = ledger.WhyNot(ConsentPurpose.Care, ConsentPurpose.Images, ConsentPurpose.Recording)!;

        Assert.Equal(RefusalCodes.ConsentMissing, refusal.Code);
        Assert.Contains("no consent to pictures or to recording (declined)", refusal.Sentence, StringComparison.Ordinal);
        Assert.Null(ledger.WhyNot(ConsentPurpose.Care));
    }

    private static Gen<List<SessionEvent>> Happenings() => Gen.Choose(0, (4 * ConsentPurposes.All.Count) - 1)
        .Select(pick => Happening((pick / 4) % ConsentPurposes.All.Count, pick % 4))
        .ListOf()
        .Select(list => list.ToList());

    private static SessionEvent Happening(int index, int kind)
    {
        var purpose = ConsentPurposes.All[index];
        return (kind, index) switch
        {
            (0 or 1, _) => Answered(purpose, kind == 0),
            (2, _) => new ConsentTakenBack([purpose, ConsentPurposes.All[(index + 3) % ConsentPurposes.All.Count]], ConsentParty.Themself, ConsentMeans.Spoken, "no more", _by),
            (_, 0) => new ConsentGiven(Samples.Sheet, _by),
            (_, 1) => new ConsentWithdrawn("tired", _by),
            _ => new NoteAdded("nothing to do with it", _by),
        };
    }

    private static ConsentAnswered Answered(ConsentPurpose purpose, bool given) =>
        new(purpose, given, new ConsentTextShown("1", "en", null), ConsentParty.Themself, ConsentMeans.Spoken, true, true, _by);

    private static ConsentLedger Fold(IReadOnlyList<SessionEvent> happened) => happened
        .Select((one, index) => new RecordedEvent(index + 1, DateTimeOffset.UnixEpoch, one))
        .Aggregate(ConsentLedger.Empty, ConsentFold.Apply);

    // written again, without the ledger: the last word of all that is said about a purpose
    private static bool LastWord(List<SessionEvent> happened, ConsentPurpose purpose) => happened
        .Select(one => one switch
        {
            ConsentAnswered answered when answered.Purpose == purpose => (bool?)answered.Given,
            ConsentTakenBack back when back.Purposes.Contains(purpose) => false,
            ConsentGiven sheet => sheet.Consent.Answers.Any(answer => answer.Purpose == purpose && answer.Given),
            ConsentWithdrawn => false,
            _ => null,
        })
        .LastOrDefault(word => word is not null) ?? false;
}
