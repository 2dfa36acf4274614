using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Calibration;

namespace TeleHearing.Audiology.Tests.Calibration;

/// <summary>The known-ear check. Limits: OSHA 29 CFR 1910.95 (10 and 15 dB, from memory); intervals: South African Code of Practice for Audiometry 7.2.1.</summary>
public sealed class KnownEarRulesTests
{
    private static readonly DateOnly _today = new(2026, 11, 25);

    [Theory]
    [InlineData(0, KnownEarVerdict.Passed)]
    [InlineData(5, KnownEarVerdict.Passed)]
    [InlineData(-9, KnownEarVerdict.Passed)]
    [InlineData(10, KnownEarVerdict.CalibrationNeeded)]
    [InlineData(-10, KnownEarVerdict.CalibrationNeeded)]
    [InlineData(14, KnownEarVerdict.CalibrationNeeded)]
    [InlineData(15, KnownEarVerdict.ExhaustiveNeeded)]
    [InlineData(-20, KnownEarVerdict.ExhaustiveNeeded)]
    public void AShiftOfOnePointDecides(double shift, KnownEarVerdict expected)
    {
        var now = Levels(5).Select(level => level is { Ear: Ear.Left, FrequencyHz: 2000 } ? level with { LevelDbHl = 5 + shift } : level).ToList();

        Assert.Equal(expected, KnownEarRules.Verdict(KnownEarRules.Compare(Levels(5), now)));
    }

    [Fact]
    public void TheVerdictNeverFallsWhenAShiftGrows() => Prop.ForAll(
        ArbMap.Default.ArbFor<(int Shift, byte More)>(),
        sample =>
        {
            var shift = Math.Abs(sample.Shift % 60);
            KnownEarVerdict Of(double by) => KnownEarRules.Verdict([new KnownEarShift(Ear.Right, 1000, 0, by)]);
            return Of(shift) <= Of(shift + sample.More) && Of(shift) == Of(-shift);
        }).QuickCheckThrowOnFailure();

    [Theory]
    [InlineData(null, false, true)]
    [InlineData(6, false, false)]
    [InlineData(7, false, true)]
    [InlineData(0, true, true)]
    public void ACheckIsDueWeeklyAndAfterEveryMove(int? daysAgo, bool moved, bool due) =>
        Assert.Equal(due, KnownEarRules.WhyDue(daysAgo is { } days ? _today.AddDays(-days) : null, moved, _today) is not null);

    [Theory]
    [InlineData("E1", true)]
    [InlineData("staff-07", true)]
    [InlineData("Maren", false)]
    [InlineData("Maren Toft 1", false)]
    [InlineData("", false)]
    [InlineData("E1234567890123", false)]
    [InlineData(null, false)]
    public void APersonIsACodeAndNeverAName(string? code, bool fine) => Assert.Equal(fine, KnownEarRules.PersonCodeFault(code) is null);

    [Fact]
    public void WhatCannotBeMeasuredIsRefusedAllAtOnce()
    {
        KnownEarLevel[] levels = [new(Ear.Right, 500, double.NaN), new(Ear.Right, 501, 5), new(Ear.Right, 1000, 500), new(Ear.Right, 2000, 5), new(Ear.Right, 2000, 5), new(Ear.Right, 4000, 5)];

        var faults = KnownEarRules.Faults(levels);

        Assert.Equal(5, faults.Count);
        Assert.Contains("The left ear lacks 500, 1000, 2000, 4000 Hz.", faults);
        Assert.NotEmpty(KnownEarRules.Faults([]));
        Assert.NotEmpty(KnownEarRules.Faults(null));
        Assert.NotEmpty(KnownEarRules.Faults([null!]));
    }

    [Fact]
    public void ABaselineIsOfANormalEar()
    {
        Assert.Empty(KnownEarRules.BaselineFaults(Levels(KnownEarRules.HighestBaselineDbHl)));
        Assert.Equal(8, KnownEarRules.BaselineFaults(Levels(KnownEarRules.HighestBaselineDbHl + 1)).Count);
    }

    [Fact]
    public void ALevelWithoutABaselineIsNamed()
    {
        var more = Levels(5).Append(new KnownEarLevel(Ear.Left, 8000, 10)).ToList();

        Assert.Contains("left 8000 Hz", KnownEarRules.WithoutBaseline(Levels(5), more), StringComparison.Ordinal);
        Assert.Null(KnownEarRules.WithoutBaseline(more, Levels(5)));
    }

    private static IReadOnlyList<KnownEarLevel> Levels(double db) =>
        [.. new[] { Ear.Right, Ear.Left }.SelectMany(ear => KnownEarRules.NeededHz.Select(hertz => new KnownEarLevel(ear, hertz, db)))];
}
