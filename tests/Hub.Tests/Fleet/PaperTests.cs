using System.Text.RegularExpressions;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet.Papers;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Tests.Kits.Journey;

namespace TeleHearing.Hub.Tests.Fleet;

/// <summary>The papers of a loan: plain words, everything on them, nothing that a person typed becomes markup.</summary>
public sealed partial class PaperTests
{
    private static readonly IReadOnlyList<string> _sentences =
        [.. SiteInstructions.WhenItComes, .. SiteInstructions.BeforeItGoes, .. SiteInstructions.WhenSomethingIsWrong, .. LoanPapers.Terms];

    [Fact]
    public void NoSentenceForTheSiteIsLongerThanFifteenWords()
    {
        // Practice reference, section 9: at most 15 words a sentence.
        Assert.All(_sentences, sentence => Assert.InRange(Word().Count(sentence), 1, 15));
        Assert.All(_sentences, sentence => Assert.Equal(1, sentence.Count(character => character is '.' or '?')));
    }

    [Fact]
    public void TheInstructionsReadAtTheSixthGradeOrBelow()
    {
        // Flesch-Kincaid grade (Kincaid et al. 1975): 0.39 words a sentence + 11.8 syllables a word - 15.59. Practice reference, section 9: 5th to 6th grade.
        var words = _sentences.SelectMany(sentence => Word().Matches(sentence)).Select(match => match.Value).ToList();
        var syllables = words.Sum(word => Math.Max(1, Vowels().Count(word.ToLowerInvariant()) - (word.EndsWith('e') && word.Length > 3 ? 1 : 0)));

        var grade = (0.39 * words.Count / _sentences.Count) + (11.8 * syllables / words.Count) - 15.59;

        Assert.True(grade <= 6, $"The grade is {grade:0.0}.");
    }

    [Fact]
    public void ThePageHoldsContentsDatesAndAddressAndEscapesWhatWasTyped()
    {
        var fleet = new PureFleet();
        fleet.Placed(new DateOnly(2026, 3, 18));
        var loan = Assert.Single(fleet.View.Loans);
        var terms = FleetTerms.Initial with { ReturnAddress = "Fernhill Hearing\nMill <b>Lane</b> 4", Telephone = "555-0100" };

        var page = LoanPapers.Write(new LoanPaperContent(loan, PureFleet.Kit, "loan <script>", [new KitItem("A1", "wipes", 10, 8) { SingleUse = true, Lot = "L-7" }], terms, new DateOnly(2026, 3, 2)));

        Assert.Contains("Tuesday 24 March 2026", page, StringComparison.Ordinal);
        Assert.Contains("wipes (used once, do not send back)", page, StringComparison.Ordinal);
        Assert.Contains("Mill &lt;b&gt;Lane&lt;/b&gt; 4", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<script>", page, StringComparison.Ordinal);
        Assert.Contains("@media print", page, StringComparison.Ordinal);
        Assert.Contains("Local rules may ask for more", page, StringComparison.Ordinal);
    }

    [Fact]
    public void ThePaperShowsHowTheCaseWasPackedForThisLoanAndSaysWhenThereIsNoPhoto()
    {
        var photo = new string('a', 64);
        Assert.Contains("The case is not packed yet.", Page(null, null), StringComparison.Ordinal);
        Assert.Contains("No photo was taken when the case was packed.", Page(new PackedCase(default, [new ItemCount("a1", 9)], null), null), StringComparison.Ordinal);
        Assert.Contains("its file is not there any more", Page(new PackedCase(default, [], photo), null), StringComparison.Ordinal);

        var page = Page(new PackedCase(default, [new ItemCount("a1", 9)], photo), "/api/kits/kit-01/photos/\"x");
        Assert.Contains("<img src=\"/api/kits/kit-01/photos/&quot;x\" alt=\"The open case as it was packed for this loan\">", page, StringComparison.Ordinal);
        Assert.Contains("<td class=\"box\">9</td><td class=\"box\">☐</td>", page, StringComparison.Ordinal);

        static string Page(PackedCase? packed, string? address)
        {
            var fleet = new PureFleet();
            fleet.Placed(new DateOnly(2026, 3, 18));
            return LoanPapers.Write(new LoanPaperContent(fleet.View.Loans[0], PureFleet.Kit, "loan kit", [new KitItem("A1", "wipes", 10, 8)], FleetTerms.Initial, new DateOnly(2026, 3, 2)) { Packed = packed, PhotoAddress = address });
        }
    }

    [Fact]
    public void APackingThatWasTakenBackOrIsAnotherLoansIsNotOnThePaper()
    {
        var kit = new JourneyKit().At(KitStage.Packed);
        Assert.Equal("photo-1", PackedCase.Of(kit.State, kit.Loan)!.Photo);
        Assert.Null(PackedCase.Of(kit.State, LoanId.New()));

        var packing = kit.State.History.Last(recorded => recorded.Fact is KitPacked).Sequence;
        kit.Must(new CorrectEntry(packing, true, "It was the other case."));

        Assert.Null(PackedCase.Of(kit.State, kit.Loan));
    }

    [GeneratedRegex(@"[\w'-]+")]
    private static partial Regex Word();

    [GeneratedRegex("[aeiouy]+")]
    private static partial Regex Vowels();
}
