using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.Views;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>What a picture says in words: which method found a level, which part a note speaks of, and why something is refused.</summary>
public sealed class SessionWordsTests
{
    private static readonly PlanPart _rightBone = new(Ear.Right, ConductionRoute.BoneMastoid, Masked: true);

    [Theory]
    [InlineData(ThresholdMethod.Estimate, "Right ear, 250 Hz, estimate: threshold 20 dB HL.")]
    [InlineData(ThresholdMethod.Ascending, "Right ear, 250 Hz: threshold 20 dB HL.")]
    public void TheHistorySaysWhichLevelsAreEstimates(ThresholdMethod method, string sentence)
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Happened(new ThresholdMeasured(Samples.Threshold(StepId.New(), Ear.Right, 250, 20) with { Method = method }, 0));

        Assert.Equal(sentence, Timeline.Of(session.State)[^1].Text);
    }

    [Theory]
    [InlineData("agreed with the licensing body", "Reason: agreed with the licensing body. Others look alike;")]
    [InlineData("Agreed. ", "Reason: Agreed. Others look alike;")]
    [InlineData(null, "covers the place. Others look alike;")]
    public void AReasonIsNotRunTogetherWithWhatFollows(string? reason, string part)
    {
        var session = PureSession.At(SessionStage.Identity);
        session.Happened(new StartCardConfirmed(Samples.Card() with { RegistrationReason = reason }, RegistrationStanding.NotForThisPlace, null, ["P-0002"], new Actor("m", "Maren Toft")));

        Assert.Contains(part, Timeline.Of(session.State)[^1].Text, StringComparison.Ordinal);
    }

    [Fact]
    public void AnAverageSaysWhichOfItsLevelsAreEstimates()
    {
        ThresholdRecord[] levels = [.. new[] { 500, 1000, 2000, 4000 }.Select(hertz => Samples.Threshold(StepId.New(), Ear.Right, hertz, 20) with { Method = hertz == 4000 ? ThresholdMethod.Ascending : ThresholdMethod.Estimate })];

        Assert.Equal(
            ["from estimates, a quick look", "an estimate, a quick look, at 500, 1000, 2000 Hz"],
            SessionViewBuilder.Averages(levels).Select(average => average.Missing));
        Assert.All(SessionViewBuilder.Averages([.. levels.Select(level => level with { Method = ThresholdMethod.Ascending })]), average => Assert.Null(average.Missing));
    }

    [Theory]
    [InlineData(500, "Masking dilemma: no plateau.", "Right ear by bone at the mastoid, masked, 500 Hz: Masking dilemma: no plateau.")]
    [InlineData(2000, "The operator left 2000 Hz out.", "Right ear by bone at the mastoid, masked: The operator left 2000 Hz out.")]
    [InlineData(null, "The operator left this part out.", "Right ear by bone at the mastoid, masked: The operator left this part out.")]
    [InlineData(null, "The right ear by bone at the mastoid, masked is left out.", "The right ear by bone at the mastoid, masked is left out.")]
    public void ANoteNamesThePartAndTheFrequencyItSpeaksOf(int? hertz, string sentence, string shown) =>
        Assert.Equal(shown, PlanViews.InWords(new PlanNote(_rightBone, hertz, sentence)));

    [Fact]
    public void CuttingWhileNothingRunsIsRefusedInWordsThatFit()
    {
        var session = PureSession.At(SessionStage.Testing);

        var refusal = new SessionMachine(session.State, session.Facts).WhyNot(SessionTrigger.CutStep)!;

        Assert.Equal((RefusalCodes.NoStep, "There is nothing to cut: no step is in hand."), (refusal.Code, refusal.Sentence));
    }
}
