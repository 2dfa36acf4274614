using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Estimation;

namespace TeleHearing.Audiology.Tests.PureTone.Estimation;

public sealed class EstimatePriorTests
{
    private static readonly AudiometricFrequency _at4000 = AudiometricFrequency.FromHertz(4000);

    [Fact]
    public void AgeAndSexMoveItAsTheStandardSays()
    {
        // ISO 7029:2017: median of men of 60 at 4 kHz 20.2 dB; of women 15.3 dB; of 20-year-olds 0.
        var man = Largest(EstimatePrior.For(Ear.Right, _at4000, 60, Sex.Male, []));
        var woman = Largest(EstimatePrior.For(Ear.Right, _at4000, 60, Sex.Female, []));
        var young = Largest(EstimatePrior.For(Ear.Right, _at4000, 20, Sex.Male, []));

        Assert.True(man.MeanDbHl > woman.MeanDbHl && woman.MeanDbHl > young.MeanDbHl);
        Assert.InRange(man.MeanDbHl, 20.2, 30);
        Assert.InRange(young.MeanDbHl, 0, 3);
    }

    [Fact]
    public void ItIsWiderThanTheScreenedPeopleOfTheStandard()
    {
        foreach (var age in new[] { 20.0, 50, 80 })
        {
            var expected = AgeThresholds.For(Sex.Female, age, _at4000);
            var prior = Largest(EstimatePrior.For(Ear.Left, _at4000, age, Sex.Female, []));

            Assert.True(prior.SdDb > Math.Sqrt(expected.WorseSpreadDb * expected.BetterSpreadDb));
        }
    }

    [Theory]
    [InlineData(5.0, 18.0)]
    [InlineData(99.0, 80.0)]
    public void AnAgeOutsideTheStandardCountsAsTheNearestOne(double age, double nearest)
    {
        Assert.Equal(EstimatePrior.For(Ear.Right, _at4000, nearest, Sex.Male, []), EstimatePrior.For(Ear.Right, _at4000, age, Sex.Male, []));
    }

    [Theory]
    [InlineData(null, null, null)]
    [InlineData(18, 18, null)]
    [InlineData(80, 80, null)]
    [InlineData(17, 18, "as at 18 years, not 17")]
    [InlineData(0, 18, "as at 18 years, not 0")]
    [InlineData(93, 80, "as at 80 years, not 93")]
    [InlineData(-1, null, "-1 years, which cannot be right")]
    [InlineData(1926, null, "1926 years, which cannot be right")]
    [InlineData(int.MinValue, null, "cannot be right")]
    [InlineData(int.MaxValue, null, "cannot be right")]
    public void AnAgeIsTakenAsItIsOrAsTheNearestOrCountsAsUnknownAndTheNoteSaysSo(int? age, int? taken, string? note)
    {
        // ISO 7029:2017 covers 18 to 80 years.
        var found = EstimateAge.Of(age);

        Assert.Equal(taken, found.Years);
        Assert.Contains(note ?? string.Empty, found.Note ?? string.Empty, StringComparison.Ordinal);
        Assert.Equal(note is null, found.Note is null);
        Assert.NotEmpty(EstimatePrior.For(Ear.Right, AudiometricFrequency.FromHertz(16_000), found.Years, null, []).Parts);
    }

    [Theory]
    [InlineData(1951, 3, 4, 74)]
    [InlineData(1951, 3, 2, 75)]
    [InlineData(2026, 3, 3, -1)]
    [InlineData(2004, 2, 29, 22)]
    public void AgeIsInWholeYears(int year, int month, int day, int years)
    {
        Assert.Equal(years, EstimateAge.WholeYears(new DateOnly(year, month, day), new DateOnly(2026, 3, 2)));
    }

    [Fact]
    public void WithTheSexUnknownItIsTheMeanOfBoth()
    {
        // ISO 7029:2017, Tables 1 to 5: at 60 years and 4 kHz 20.2 dB for men, 15.3 dB for women.
        var man = Largest(EstimatePrior.For(Ear.Right, _at4000, 60, Sex.Male, []));
        var woman = Largest(EstimatePrior.For(Ear.Right, _at4000, 60, Sex.Female, []));
        var either = Largest(EstimatePrior.For(Ear.Right, _at4000, 60, null, []));

        Assert.Equal((man.MeanDbHl + woman.MeanDbHl) / 2, either.MeanDbHl, 1e-9);
        Assert.True(either.SdDb >= Math.Min(man.SdDb, woman.SdDb));
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    public void AnAgeThatIsNoNumberCountsAsUnknown(double age)
    {
        Assert.Equal(EstimatePrior.For(Ear.Right, _at4000, null, Sex.Male, []), EstimatePrior.For(Ear.Right, _at4000, age, Sex.Male, []));
    }

    [Fact]
    public void ANeighbourAndTheOtherEarDrawItToThemselvesAndNarrowIt()
    {
        var alone = EstimatePrior.For(Ear.Right, _at4000, 40, Sex.Female, []);
        var besideNeighbour = EstimatePrior.For(Ear.Right, _at4000, 40, Sex.Female, [new(Ear.Right, 3000, 60, 2.5)]);
        var besideOtherEar = EstimatePrior.For(Ear.Right, _at4000, 40, Sex.Female, [new(Ear.Left, 4000, 60, 2.5)]);

        Assert.InRange(alone.MeanDbHl, 0, 25);
        Assert.InRange(besideNeighbour.MeanDbHl, 45, 65);
        Assert.InRange(besideOtherEar.MeanDbHl, 35, 65);
        Assert.True(Spread(besideNeighbour) < Spread(alone));
    }

    [Fact]
    public void WithOneKnownThresholdItIsTheHandbooksConditionedBell()
    {
        // Two jointly normal variables: mean m1 + c / v2 (x - m2), variance v1 - c^2 / v2 (any handbook of statistics).
        var hearing = HearingClass.Of(50, Sex.Male)[0];
        var fit = ClassFit.Of(hearing, Ear.Right, 4000, [new(Ear.Right, 2000, 30, 3)]);
        var (m1, s1) = hearing.At(4000);
        var (m2, s2) = hearing.At(2000);
        var (c, v2) = (hearing.Correlation(Ear.Right, 4000, Ear.Right, 2000) * s1 * s2, (s2 * s2) + 9);

        Assert.Equal(m1 + (c / v2 * (30 - m2)), fit.MeanDb, 1e-9);
        Assert.Equal((s1 * s1) - (c * c / v2), fit.SdDb * fit.SdDb, 1e-9);
    }

    [Fact]
    public void SharesAddUpToOneAndNothingIsImpossible()
    {
        var prior = EstimatePrior.For(Ear.Right, _at4000, 30, Sex.Male, [new(Ear.Right, 2000, 5, 2), new(Ear.Left, 4000, 10, 2)]);

        Assert.Equal(1, prior.Parts.Sum(part => part.Share), 1e-9);
        Assert.True(prior.Density(100) > 1e-5);
    }

    [Fact]
    public void EveryFrequencyHasAPrior()
    {
        Assert.All(AudiometricFrequency.Both, frequency => Assert.All(EstimatePrior.For(Ear.Left, frequency, null, null, []).Parts, part => Assert.True(double.IsFinite(part.MeanDbHl) && part.SdDb > 0)));
    }

    [Theory]
    [InlineData(double.NaN, 2)]
    [InlineData(20, 0)]
    [InlineData(20, double.PositiveInfinity)]
    public void AKnownThresholdThatIsNoneIsRefused(double mean, double sd)
    {
        Assert.Throws<ArgumentException>(() => EstimatePrior.For(Ear.Right, _at4000, null, null, [new(Ear.Right, 1000, mean, sd)]));
    }

    [Fact]
    public void AMeasurementWithoutAThresholdTeachesOnlyItsLimit()
    {
        KnownThreshold? From(ThresholdOutcome outcome) => KnownThreshold.From(new Measurement(Ear.Right, ConductionRoute.Air, 1000, outcome));

        Assert.Equal(25, From(new ThresholdOutcome.Established(25))!.MeanDbHl);
        Assert.Equal(110, From(new ThresholdOutcome.NoResponseAtLimit(100))!.MeanDbHl);
        Assert.Equal(5, From(new ThresholdOutcome.NoiseLimited(15))!.MeanDbHl);
        Assert.Null(From(new ThresholdOutcome.NotEstablished("x")));
    }

    private static PriorPart Largest(EstimatePrior prior) => prior.Parts.MaxBy(part => part.Share)!;

    private static double Spread(EstimatePrior prior) =>
        Math.Sqrt(prior.Parts.Sum(part => part.Share * ((part.SdDb * part.SdDb) + (part.MeanDbHl * part.MeanDbHl))) - (prior.MeanDbHl * prior.MeanDbHl));
}
