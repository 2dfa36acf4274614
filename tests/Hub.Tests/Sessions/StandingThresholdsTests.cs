using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>
/// Which of several measurements stands. That an unmasked threshold does not hold where masking was needed and found no plateau is the meaning of a masking dilemma
/// (Hood 1960; textbooks of clinical audiology, from memory).
/// </summary>
public sealed class StandingThresholdsTests
{
    private static readonly ThresholdRecord _unmasked = Samples.Threshold(StepId.New(), Ear.Right, 500, 10) with { Route = ConductionRoute.BoneMastoid };

    [Theory]
    [InlineData(MaskingVerdict.Dilemma, true)]
    [InlineData(MaskingVerdict.MaskerAtLimit, true)]
    [InlineData(MaskingVerdict.NotSettled, false)]
    public void AnUnmaskedLevelIsNotTheEarsWhereMaskingFoundThatItCannotBeKnown(MaskingVerdict verdict, bool stands)
    {
        var masked = Masked(verdict, new ThresholdOutcome.NotEstablished("No plateau."));

        var (standing, superseded) = StandingThresholds.Of([_unmasked, masked]);

        Assert.Same(stands ? masked : _unmasked, Assert.Single(standing));
        Assert.Same(stands ? _unmasked : masked, Assert.Single(superseded));
    }

    [Fact]
    public void APlateauFoundAfterADilemmaStandsInItsPlace()
    {
        var dilemma = Masked(MaskingVerdict.Dilemma, new ThresholdOutcome.NotEstablished("No plateau."));
        var plateau = Masked(MaskingVerdict.Plateau, new ThresholdOutcome.Established(25));

        Assert.Same(plateau, Assert.Single(StandingThresholds.Of([_unmasked, dilemma, plateau, _unmasked with { RoomBoundDbHl = 5 }]).Standing));
    }

    private static ThresholdRecord Masked(MaskingVerdict verdict, ThresholdOutcome outcome) =>
        _unmasked with { Outcome = outcome, Masking = new MaskingEvidence(30, 5, [new PlateauPoint(30, 15), new PlateauPoint(80, 25)], verdict, "For a reason.") };
}
