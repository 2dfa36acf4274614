using System.Text.RegularExpressions;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet.Papers;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Tests.Kits.Journey;
using TeleHearing.Logistics.Booking;

namespace TeleHearing.Hub.Tests.Fleet;

/// <summary>The papers of a loan: plain words, everything on them, nothing that a person typed becomes markup.</summary>
public sealed partial class PaperTests
{
    private static readonly IReadOnlyList<string> _sentences =
        [.. SiteInstructions.WhenItComes, .. SiteInstructions.BeforeItGoes(true), .. SiteInstructions.BeforeItGoes(false), .. SiteInstructions.WhenSomethingIsWrong.SelectMany(one => one.Answers.Prepend(one.Question)), .. LoanPapers.Terms];

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
    public void ThePaperNamesWipesOfTheCaseOnlyWhereItHasAnyAndGroupsAnswersUnderTheirQuestion()
    {
        Assert.Contains("with the wipes in the case", Page("alcohol-free wipes"), StringComparison.Ordinal);
        var page = Page("ear light tips");
        Assert.Contains("with the wipes you were given", page, StringComparison.Ordinal);
        Assert.DoesNotContain("wipes in the case", page, StringComparison.Ordinal);
        Assert.Contains("<dt>Can you not send the kit on that day?</dt><dd>Call us, and we will find a new day.</dd>", page, StringComparison.Ordinal);
        Assert.Contains("<p>From</p><p class=\"sender\">Mill Lane 4</p>", page, StringComparison.Ordinal);
        Assert.DoesNotContain("Kit kit-", page, StringComparison.Ordinal);

        static string Page(string kind)
        {
            var fleet = new PureFleet();
            fleet.Placed(new DateOnly(2026, 3, 18));
            return LoanPapers.Write(new LoanPaperContent(fleet.View.Loans[0], PureFleet.Kit, "loan kit", [new KitItem("A1", kind, 10, 8)], FleetTerms.Initial, new DateOnly(2026, 3, 2)));
        }
    }

    [Fact]
    public void AnExtendedLoanHasNoOlderDayOnItsPaperOrItsPage()
    {
        var fleet = new PureFleet();
        fleet.Hardware.Now = new DateTimeOffset(2026, 3, 11, 9, 0, 0, TimeSpan.Zero);
        var loan = fleet.Sent(new DateOnly(2026, 3, 18));
        Assert.Null(fleet.Ask(new ProlongLoan(loan, new DateOnly(2026, 4, 7), "one more session")));

        // Three days of the way back before Tuesday 7 April, Monday to Friday: Thursday 2; two whole days of turnaround after it: Friday 10.
        var view = fleet.View.Loans[0];
        Assert.Equal(
            (new DateOnly(2026, 4, 2), new DateOnly(2026, 4, 7), new DateOnly(2026, 4, 10), 30),
            (view.Booking!.PickedUp, view.Booking.DueBack, view.Booking.BookableFrom, view.Booking.CycleDays));
        Assert.Equal(
            [(BookingStage.PickUp, view.Booking.PickedUp), (BookingStage.TransitBack, view.Booking.DueBack), (BookingStage.Turnaround, view.Booking.BookableFrom)],
            view.Booking.Steps.Skip(3).Select(step => (step.Stage, step.To)));
        var page = LoanPapers.Write(new LoanPaperContent(view, PureFleet.Kit, "loan kit", [], FleetTerms.Initial, fleet.Hardware.Today));
        Assert.Contains("Give it to the carrier on: Thursday 2 April 2026", page, StringComparison.Ordinal);
        Assert.Contains("<th>Back with us on</th><td>Tuesday 7 April 2026</td>", page, StringComparison.Ordinal);
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
