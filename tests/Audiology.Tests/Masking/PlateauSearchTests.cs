using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Masking;

/// <summary>
/// The plateau on listeners who answer exactly as the two-route model says. Cases A to G are those of its published vectors; levels of the masker are those of Hood 1960 and the classical
/// formulas (from memory).
/// </summary>
public sealed class PlateauSearchTests
{
    [Theory]
    [InlineData("A", 60, 10, 10, 70)]
    [InlineData("C", 55, 5, 5, 60)]
    public void APlateauGivesTheThresholdOfTheEarUnderTest(string letter, double unmasked, double otherAir, double bestBone, double truth)
    {
        foreach (var step in new[] { 5.0, 10.0 })
        {
            var settings = new PlateauSettings(ConductionRoute.Air, unmasked, otherAir, 40, Quiet(120)) { BestBoneDbHl = bestBone, StepDb = step };

            var (outcome, evidence) = Run(settings, MaskingVector.OfCase(letter));

            Assert.Equal(new ThresholdOutcome.Established(truth), outcome);
            Assert.Equal(MaskingVerdict.Plateau, evidence.Verdict);
            Assert.True(evidence.FinalDbEm - evidence.InitialDbEm >= 15);
            Assert.Null(evidence.Remedy);
        }
    }

    [Fact]
    public void ARisingCurveIsNeverAThreshold()
    {
        // Case B: a dead ear beside a normal one. Every response up to 120 dB HL is the other ear's.
        var settings = new PlateauSettings(ConductionRoute.Air, 50, 0, 40, Quiet(110)) { BestBoneDbHl = 0 };

        var (outcome, evidence) = Run(settings, MaskingVector.OfCase("B"));

        Assert.Equal(new ThresholdOutcome.NoResponseAtLimit(110), outcome);
        Assert.Equal(MaskingVerdict.NoResponse, evidence.Verdict);
        Assert.Equal([(10, 60), (15, 65), (20, 70), (25, 75)], evidence.Points.Take(4).Select(point => ((int)point.MaskerDbEm, (int)point.ToneDbHl)));
    }

    [Fact]
    public void ADilemmaIsNamedWithWhatWouldSolveIt()
    {
        // Case D: conductive on both sides. The least masker, 70 dB EM, lies above the most, 45 dB EM.
        Assert.Equal(70, MaskingLevels.AirMinimumDbEm(60, 50, 60));
        Assert.Equal(45, MaskingLevels.MaximumDbEm(0, 50));
        var settings = new PlateauSettings(ConductionRoute.Air, 50, 50, 40, Quiet(120)) { BestBoneDbHl = 0, OtherAirIsCertain = false };

        var (outcome, evidence) = Run(settings, MaskingVector.OfCase("D"));

        Assert.Equal(MaskingVerdict.Dilemma, evidence.Verdict);
        Assert.IsType<ThresholdOutcome.NotEstablished>(outcome);
        Assert.Contains("insert earphones", evidence.Remedy!, StringComparison.Ordinal);
    }

    [Fact]
    public void InsertEarphonesSolveIt()
    {
        // Case E: the same ears with 75 dB between them. The plateau ends at 75 dB EM, 15 dB above the other ear's threshold by air.
        var settings = new PlateauSettings(ConductionRoute.Air, 60, 60, 55, Quiet(120)) { BestBoneDbHl = 0 };

        var (outcome, evidence) = Run(settings, MaskingVector.OfCase("E"));

        Assert.Equal(new ThresholdOutcome.Established(60), outcome);
        Assert.Equal((60.0, 75.0), (evidence.InitialDbEm, evidence.FinalDbEm!.Value));
    }

    [Fact]
    public void AStillThresholdProvesNothingWhileTheMaskerMayLieBelowTheOtherEar()
    {
        // The other ear's 50 dB HL are a shadow of this one's cochlea; truly it hears 70. Up to 70 dB EM the masker does nothing, and the shadow of 50 stands.
        var ears = new TwoRouteEars(70, 0, 70, 0, 50, 50, 0);
        var settings = new PlateauSettings(ConductionRoute.Air, 50, 50, 40, Quiet(120)) { OtherAirIsCertain = false };

        foreach (var bone in new double?[] { null, 0 })
        {
            var (outcome, evidence) = Run(settings with { BestBoneDbHl = bone }, masker => TwoRouteModel.Air(ears, masker));

            Assert.IsType<ThresholdOutcome.NotEstablished>(outcome);
            Assert.Equal(MaskingVerdict.Dilemma, evidence.Verdict);
            Assert.Contains(bone is null ? "Measure bone conduction" : "insert", evidence.Remedy!, StringComparison.Ordinal);
        }
    }

    [Theory]
    [InlineData("F", 0, 5, 0, 0)]
    [InlineData("G", 5, 5, 15, 45)]
    public void ToneByBoneFindsItsPlateau(string letter, double unmasked, double otherAir, double occlusion, double truth)
    {
        var settings = new PlateauSettings(ConductionRoute.BoneMastoid, unmasked, otherAir, 40, Quiet(60)) { BestBoneDbHl = unmasked, OcclusionDb = occlusion };

        var (outcome, evidence) = Run(settings, MaskingVector.OfCase(letter));

        Assert.Equal(new ThresholdOutcome.Established(truth), outcome);
        Assert.Equal(MaskingVerdict.Plateau, evidence.Verdict);
    }

    [Fact]
    public void TheMaskerStopsBelowWhatNeedsAnOperator()
    {
        var ears = new TwoRouteEars(110, 110, 75, 75, 60, 60, 0);
        PlateauSettings Settings(double limit) => new(ConductionRoute.Air, 110, 75, 40, Quiet(120)) { BestBoneDbHl = 75, OperatorLimitDbEm = limit, MaskerMaximumDbEm = 110 };

        var (_, stopped) = Run(Settings(85), masker => TwoRouteModel.Air(ears, masker));
        var (outcome, allowed) = Run(Settings(110), masker => TwoRouteModel.Air(ears, masker));

        Assert.Equal(MaskingVerdict.MaskerAtLimit, stopped.Verdict);
        Assert.Contains("An operator may allow", stopped.Remedy!, StringComparison.Ordinal);
        Assert.All(stopped.Points, point => Assert.True(point.MaskerDbEm <= 85));
        Assert.Equal(new ThresholdOutcome.Established(110), outcome);
        Assert.Equal(MaskingVerdict.Plateau, allowed.Verdict);
    }

    [Fact]
    public void ListenersWhoAlwaysOrNeverAnswerEndIt()
    {
        var settings = new PlateauSettings(ConductionRoute.Air, 60, 10, 40, WithCatches(100)) { BestBoneDbHl = 10 };

        var never = Drive(settings, (_, _) => false, seed: 1);
        var always = Drive(settings, (_, _) => true, seed: 1);

        Assert.Equal(new ThresholdOutcome.NoResponseAtLimit(100), never.Outcome);
        Assert.IsType<ThresholdOutcome.NotEstablished>(always.Outcome);
        Assert.Equal(MaskingVerdict.NotSettled, always.Evidence.Verdict);
    }

    [Fact]
    public void OneLapseOrOnePressWithoutCauseChangesNothing()
    {
        var vector = MaskingVector.OfCase("A");
        var settings = new PlateauSettings(ConductionRoute.Air, 60, 10, 40, Quiet(120)) { BestBoneDbHl = 10 };
        for (var wrong = 0; wrong < 40; wrong++)
        {
            var index = 0;
            var (outcome, _) = Drive(settings, (tone, masker) => (tone >= vector.Respond(masker).ResponseDbHl) ^ (index++ == wrong), seed: 1);

            Assert.True(outcome is ThresholdOutcome.Established { LevelDbHl: >= 65 and <= 75 }, $"wrong answer {wrong}: {outcome}");
        }
    }

    private static SearchSettings WithCatches(double maximum) => new(StoppingRule.TwoOfThree, -10, maximum, null);

    private static SearchSettings Quiet(double maximum) => WithCatches(maximum) with { CatchRate = 0 };

    private static (ThresholdOutcome Outcome, MaskingEvidence Evidence) Run(PlateauSettings settings, MaskingVector vector) => Run(settings, masker => vector.Respond(masker));

    private static (ThresholdOutcome Outcome, MaskingEvidence Evidence) Run(PlateauSettings settings, Func<double, TwoRouteLevels> respond) =>
        Drive(settings, (tone, masker) => tone >= respond(masker).ResponseDbHl, seed: 1);

    internal static (ThresholdOutcome Outcome, MaskingEvidence Evidence) Drive(PlateauSettings settings, Func<double, double, bool> heard, int seed)
    {
        var search = new PlateauSearch(settings, new Random(seed));
        for (var i = 0; search.Next is not SearchMove.Finished; i++)
        {
            Assert.True(i < 1000, "The search does not end.");
            search.Record(search.Next switch
            {
                SearchMove.PresentTone { MaskerDbEm: { } masker } tone => heard(tone.Level.Decibels, masker) ? TrialAnswer.Heard : TrialAnswer.NotHeard,
                SearchMove.PresentCatch { MaskerDbEm: { } masker } => heard(double.NegativeInfinity, masker) ? TrialAnswer.Heard : TrialAnswer.NotHeard,
                _ => throw new InvalidOperationException("A masked search presented without a masker."),
            });
        }

        return (((SearchMove.Finished)search.Next).Outcome, search.Evidence!);
    }
}
