using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Logistics.Labels;

namespace TeleHearing.Logistics.Tests.Labels;

public sealed class CheckCharacterTests
{
    /// <summary>
    /// Published numbers that use ISO 7064, MOD 37,36 (from memory): the example of the GRid standard for releases, A1-2425G-ABC1234002-M,
    /// and the examples of ISAN, ISO 15706: 0000-0000-D07A-0090-Q-0000-0000-X and 0000-0001-8947-0000-8-0000-0000-D.
    /// </summary>
    [Theory]
    [InlineData("A12425GABC1234002", 'M')]
    [InlineData("00000000D07A0090", 'Q')]
    [InlineData("00000000D07A009000000000", 'X')]
    [InlineData("0000000189470000", '8')]
    [InlineData("000000018947000000000000", 'D')]
    public void PublishedNumbersHaveTheirCheckCharacter(string text, char check)
    {
        Assert.Equal(check, CheckCharacter.Of(text));
        Assert.True(CheckCharacter.IsRight(text + check));
    }

    [Fact]
    public void AnotherWritingOfTheStandardAgrees() =>
        Prop.ForAll(Texts.ToArbitrary(), text => CheckCharacter.Of(text) == Naive(text)).QuickCheckThrowOnFailure();

    [Fact]
    public void EveryWrongSingleCharacterIsFound() =>
        Prop.ForAll(Texts.ToArbitrary(), text =>
        {
            var whole = text + CheckCharacter.Of(text);
            return Enumerable.Range(0, whole.Length).All(place => CheckCharacter.Alphabet
                .Where(other => other != whole[place])
                .All(other => !CheckCharacter.IsRight(whole[..place] + other + whole[(place + 1)..])));
        }).QuickCheckThrowOnFailure();

    /// <summary>The standard's check does not find every exchange of neighbours. This counts those it misses, so that nobody relies on more.</summary>
    [Fact]
    public void AllButSeventyTwoExchangesOfNeighboursAreFound()
    {
        var (all, missed) = (0, 0);
        foreach (var before in FirstTextOfEachState())
        {
            foreach (var a in CheckCharacter.Alphabet)
            {
                foreach (var b in CheckCharacter.Alphabet.Where(b => b != a))
                {
                    all++;
                    missed += CheckCharacter.Of($"{before}{a}{b}") == CheckCharacter.Of($"{before}{b}{a}") ? 1 : 0;
                }
            }
        }

        Assert.Equal((45_360, 72), (all, missed));
    }

    [Fact]
    public void WhatIsNoTextIsNotRightAndHasNoCheckCharacter()
    {
        Assert.All([null, "", "A", "a1", "Ä1", "A-1", new string('A', 300)], text => Assert.False(CheckCharacter.IsRight(text)));
        Assert.Throws<ArgumentException>(() => CheckCharacter.Of(""));
        Assert.Throws<ArgumentException>(() => CheckCharacter.Of("a"));
        Assert.Throws<ArgumentException>(() => CheckCharacter.Of(new string('A', 201)));
    }

    private static Gen<string> Texts { get; } =
        from length in Gen.Choose(1, 24)
        from characters in Gen.Elements(CheckCharacter.Alphabet.ToCharArray()).ArrayOf(length)
        select new string(characters);

    /// <summary>The same state of the check is reached by the same check character, so one text for each of the 36 is enough; the empty one is among them.</summary>
    private static IEnumerable<string> FirstTextOfEachState() =>
        (from a in CheckCharacter.Alphabet
         from b in CheckCharacter.Alphabet
         group $"{a}{b}" by CheckCharacter.Of($"{a}{b}")).Select(group => group.First());

    /// <summary>The standard's rule, tried out: the check character is the one with which the sum comes to 1.</summary>
    private static char Naive(string text)
    {
        var p = 36L;
        foreach (var character in text)
        {
            var value = char.IsDigit(character) ? character - '0' : character - 'A' + 10;
            var s = p + value;
            while (s > 36)
            {
                s -= 36;
            }

            p = 2 * s;
            if (p >= 37)
            {
                p -= 37;
            }
        }

        return "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ".Single(check => (p + (char.IsDigit(check) ? check - '0' : check - 'A' + 10)) % 36 == 1);
    }
}
