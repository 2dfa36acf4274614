using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Hub.People.LookAlikes;

namespace TeleHearing.Hub.Tests.People;

/// <summary>Names and birth dates that get confused. Published values: W. E. Winkler, "String Comparator Metrics and Enhanced Decision Rules in the Fellegi-Sunter Model of Record Linkage" (1990), as reprinted with three digits in his later reports (from memory).</summary>
public sealed class LookAlikeTests
{
    [Theory]
    [InlineData("MARTHA", "MARHTA", 0.961)]
    [InlineData("DWAYNE", "DUANE", 0.840)]
    [InlineData("DIXON", "DICKSONX", 0.813)]
    [InlineData("JONES", "JOHNSON", 0.832)]
    [InlineData("MASSEY", "MASSIE", 0.933)]
    [InlineData("ABROMS", "ABRAMS", 0.922)]
    [InlineData("JERALDINE", "GERALDINE", 0.926)]
    [InlineData("MICHELLE", "MICHAEL", 0.921)]
    [InlineData("JULIES", "JULIUS", 0.933)]
    [InlineData("DUNNINGHAM", "CUNNIGHAM", 0.896)]
    [InlineData("NICHLESON", "NICHULSON", 0.956)]
    [InlineData("SEAN", "SUSAN", 0.805)]
    public void WordsAreAsAlikeAsWinklersTableSays(string one, string other, double published) =>
        Assert.Equal(published, JaroWinkler.Likeness(one, other), 0.0006);

    [Theory]
    [InlineData("Ottilie Brandvold", "Brandvold, Ottilie")]
    [InlineData("Pella Nyström", "pella nystrom")]
    [InlineData("Søren Łęcki", "Soren Lecki")]
    [InlineData("Anna-Marie O'Dell", "Anna Marie ODell")]
    [InlineData("Strauß Edda", "Edda STRAUSS")]
    [InlineData("Nystro\u0308m Pella", "Pella Nyström")]
    [InlineData("ŻÓŁTY Ṣâlîḥ", "zolty salih")]
    public void MarksOrderAndWritingDoNotCount(string one, string other) => Assert.Equal(1, NameLikeness.Of(one, other));

    [Theory]
    [InlineData("Ottilie Brandvold", "Otilie Brandvold", true)]
    [InlineData("Ottilie Brandvold", "Ottilie Brandvolt", true)]
    [InlineData("Maren Toft", "Karen Toft", true)]
    [InlineData("O. Brandvold", "Ottilie Brandvold", true)]
    [InlineData("Edda Sorrel", "Ilse Sorrel", false)]
    [InlineData("Oda Brekkestad", "Tarquin Ollerenshaw", false)]
    [InlineData("Oda Brekkestad", "Wilhelmina Strand", false)]
    public void NamesAreSimilarOrNot(string one, string other, bool similar) => Assert.Equal(similar, NameLikeness.Of(one, other) >= NameLikeness.Similar);

    [Theory]
    [InlineData("1951-03-04", "1951-03-04", nameof(BirthDateNearness.Same))]
    [InlineData("1951-03-04", "1951-04-03", nameof(BirthDateNearness.DayAndMonthExchanged))]
    [InlineData("1951-03-04", "1951-03-09", nameof(BirthDateNearness.OneDigit))]
    [InlineData("1951-03-04", "1961-03-04", nameof(BirthDateNearness.OneDigit))]
    [InlineData("1951-03-12", "1951-03-21", nameof(BirthDateNearness.DigitsExchanged))]
    [InlineData("1951-03-04", "1915-03-04", nameof(BirthDateNearness.DigitsExchanged))]
    [InlineData("1951-03-09", "1951-03-10", nameof(BirthDateNearness.Far))]
    [InlineData("1951-03-04", "1944-11-02", nameof(BirthDateNearness.Far))]
    public void BirthDatesAreNearAsTheyGetConfused(string one, string other, string nearness)
    {
        Assert.Equal(nearness, BirthDates.Compare(Day(one), Day(other)).ToString());
        Assert.Equal(nearness, BirthDates.Compare(Day(other), Day(one)).ToString());
    }

    [Fact]
    public void LikenessIsTheSameInEitherOrderBetweenNoneAndOneAndOneForTheSame()
    {
        var word = Gen.Elements("abcdeéøß".ToCharArray()).ListOf().Select(letters => new string([.. letters.Take(8)]));
        var name = word.ListOf().Select(words => string.Join(' ', words.Take(4)));
        Check.One(Config.QuickThrowOnFailure.WithMaxTest(2000).WithReplay(20260318, 7), Prop.ForAll(name.ToArbitrary(), name.ToArbitrary(), (one, other) =>
        {
            var likeness = NameLikeness.Of(one, other);
            Assert.Equal(likeness, NameLikeness.Of(other, one), 1e-12);
            Assert.InRange(likeness, 0, 1);
            Assert.Equal(likeness, NameLikeness.Of(string.Join(' ', one.Split(' ').Reverse()), other), 1e-12);
            if (NameForm.Words(one).Count > 0)
            {
                Assert.Equal(1, NameLikeness.Of(one, one));
            }
        }));
    }

    [Fact]
    public void ADayOffByOneDigitIsAlwaysFoundAndNearnessIsTheSameInEitherOrder()
    {
        var days = Gen.Choose(new DateOnly(1900, 1, 1).DayNumber, new DateOnly(2025, 12, 31).DayNumber).Select(DateOnly.FromDayNumber);
        Check.One(Config.QuickThrowOnFailure.WithMaxTest(2000).WithReplay(20260318, 9), Prop.ForAll(days.ToArbitrary(), days.ToArbitrary(), (one, other) =>
        {
            Assert.Equal(BirthDates.Compare(one, other), BirthDates.Compare(other, one));
            Assert.Equal(one == other, BirthDates.Compare(one, other) == BirthDateNearness.Same);
            var nextDecade = one.AddYears(one.Year % 100 < 90 ? 10 : -10);
            Assert.True(nextDecade.Day != one.Day || BirthDates.Compare(one, nextDecade) == BirthDateNearness.OneDigit);
        }));
    }

    [Fact]
    public void PeopleAreFoundByNameByDateOrByBothTheMostAlikeFirstAndNeverThemselves()
    {
        var person = new KnownPerson("P-0001", "Ottilie Brandvold", new DateOnly(1951, 3, 4));

        var found = LookAlikeFinder.Find(person,
        [
            person,
            new("P-0002", "Otilie Brandvold", new DateOnly(1951, 4, 3)),
            new("P-0003", "Tarquin Ollerenshaw", new DateOnly(1951, 3, 4)),
            new("P-0004", "Ottilie Brandvold", new DateOnly(1980, 1, 1)),
            new("P-0005", "Tarquin Ollerenshaw", new DateOnly(1951, 3, 5)),
            new("P-0006", "Wilhelmina Strand", new DateOnly(1938, 7, 29)),
        ]);

        Assert.Equal(["P-0002", "P-0003", "P-0004"], found.Select(other => other.Reference).Order());
        Assert.Equal("P-0002", found[0].Reference);
        Assert.Equal(["The name is similar.", "The date of birth has day and month exchanged."], found[0].Why);
        Assert.Equal(["The date of birth is the same."], found.Single(other => other.Reference == "P-0003").Why);
        Assert.Equal(LookAlikeFinder.MostShown, LookAlikeFinder.Find(person, Enumerable.Range(10, 40).Select(number => new KnownPerson($"P-{number:0000}", "Ottilie Brandvold", new DateOnly(1960, 1, 1)))).Count);
    }

    private static DateOnly Day(string text) => DateOnly.ParseExact(text, "yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture);
}
