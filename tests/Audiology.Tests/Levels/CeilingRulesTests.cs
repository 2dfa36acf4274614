using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Tests.Levels;

public sealed class CeilingRulesTests
{
    private static readonly CeilingRules _rules = CeilingRules.Usual(TransducerKind.Insert);

    [Theory]
    [InlineData(50, null, true)]
    [InlineData(55, null, false)]
    [InlineData(50, -10.0, true)]
    [InlineData(55, 35.0, true)]
    [InlineData(55, 30.0, false)]
    [InlineData(90, 70.0, true)]
    [InlineData(90, 69.9, false)]
    [InlineData(30, 100.0, true)]
    [InlineData(60, double.NaN, false)]
    [InlineData(60, double.PositiveInfinity, false)]
    public void AboveFiftyALevelRisesByTwentyAtMost(double level, double? previous, bool allowed)
    {
        Assert.Equal(allowed ? null : LevelFaultCodes.RiseTooSteep, Check(1000, level, 1000, previous)?.Code);
    }

    // The usual ranges: 70 dB HL at 125 Hz, 90 at 250, 120 at 500 to 4000, 100 and 90 at 6 and 8 kHz with inserts (IEC 60645-1, from memory; common practice).
    [Theory]
    [InlineData(125, 70)]
    [InlineData(250, 90)]
    [InlineData(500, 120)]
    [InlineData(4000, 120)]
    [InlineData(6000, 100)]
    [InlineData(8000, 90)]
    public void TheCeilingItselfIsAllowedAndNothingAbove(int hertz, double ceiling)
    {
        Assert.Null(Check(hertz, ceiling, 1000, ceiling));
        Assert.Equal(LevelFaultCodes.OverCeiling, Check(hertz, ceiling + 0.1, 1000, ceiling)?.Code);
    }

    [Theory]
    [InlineData(10_000, true)]
    [InlineData(10_001, false)]
    [InlineData(0, false)]
    [InlineData(double.NaN, false)]
    [InlineData(double.PositiveInfinity, false)]
    public void APresentationLastsTenSecondsAtMost(double durationMs, bool allowed)
    {
        Assert.Equal(allowed ? null : LevelFaultCodes.OverCeiling, Check(1000, 40, durationMs, 40)?.Code);
    }

    [Fact]
    public void WhatHasNoCeilingMayNotBePlayed()
    {
        var request = new PresentationRequest(TransducerKind.SupraAural, AudiometricFrequency.FromHertz(1000), HearingLevel.FromDecibels(0), 1000);

        Assert.Equal(LevelFaultCodes.OverCeiling, _rules.Check(request, null)?.Code);
        Assert.Equal(LevelFaultCodes.OverCeiling, Check(new CeilingRules([]), 1000, 0, 1000, null)?.Code);
        Assert.Equal(LevelFaultCodes.OverCeiling, Check(new CeilingRules([new(TransducerKind.Insert, 1000, double.NaN)]), 1000, 0, 1000, null)?.Code);
    }

    [Fact]
    public void OfTwoCeilingsTheLowerHolds()
    {
        var rules = new CeilingRules([new(TransducerKind.Insert, 1000, 80), new(TransducerKind.Insert, 1000, 60)]);

        Assert.Equal(60, rules.HighestFor(TransducerKind.Insert, AudiometricFrequency.FromHertz(1000)));
    }

    // IEC 60645-1:2001 (confirmed) asks for a warning above 100 dB HL; that it must be confirmed is this tool's rule.
    [Theory]
    [InlineData(100, false, true)]
    [InlineData(100.5, false, false)]
    [InlineData(105, false, false)]
    [InlineData(105, true, true)]
    public void ALoudLevelNeedsADeliberateConfirmation(double level, bool confirmed, bool allowed)
    {
        var request = new PresentationRequest(TransducerKind.Insert, AudiometricFrequency.FromHertz(1000), HearingLevel.FromDecibels(level), 1000) { LoudConfirmed = confirmed };

        Assert.Equal(allowed ? null : LevelFaultCodes.LoudNotConfirmed, _rules.Check(request, 95)?.Code);
        Assert.False(new PresentationRequest(TransducerKind.Insert, AudiometricFrequency.FromHertz(1000), HearingLevel.FromDecibels(0), 1).LoudConfirmed);
    }

    [Fact]
    public void AConfirmationOpensNeitherACeilingNorASteepRise()
    {
        var request = new PresentationRequest(TransducerKind.Insert, AudiometricFrequency.FromHertz(1000), HearingLevel.FromDecibels(120), 1000) { LoudConfirmed = true };

        Assert.Equal(LevelFaultCodes.RiseTooSteep, _rules.Check(request, 99)?.Code);
        Assert.Equal(LevelFaultCodes.OverCeiling, _rules.Check(request with { Level = HearingLevel.FromDecibels(121) }, 120)?.Code);
    }

    [Fact]
    public void UsualCeilingsReachAsFarAsReferenceThresholdsAndStayBelow120DbSplAboveEightKilohertz()
    {
        foreach (var kind in Enum.GetValues<TransducerKind>().Where(kind => kind != TransducerKind.BoneVibrator))
        {
            var rules = CeilingRules.Usual(kind);
            foreach (var frequency in AudiometricFrequency.Both)
            {
                var threshold = ReferenceThresholds.CouplersOf(kind)
                    .Select(coupler => ReferenceThresholds.Find(kind, coupler, frequency)).OfType<ReferenceThreshold>().FirstOrDefault();
                var ceiling = rules.HighestFor(kind, frequency);

                Assert.Equal(threshold is null, ceiling is null);
                Assert.True(frequency.Hertz <= 8000 || ceiling is null || ceiling + threshold!.RetsplDb < 120);
            }
        }
    }

    private static LevelFault? Check(int hertz, double level, double durationMs, double? previous) => Check(_rules, hertz, level, durationMs, previous);

    private static LevelFault? Check(CeilingRules rules, int hertz, double level, double durationMs, double? previous) => rules.Check(
        new PresentationRequest(TransducerKind.Insert, AudiometricFrequency.FromHertz(hertz), HearingLevel.FromDecibels(level), durationMs) { LoudConfirmed = true },
        previous);
}
