using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Sessions.Views;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>The sound dose of a session from its events.</summary>
public sealed class SessionDoseTests
{
    private static readonly StepId _step = StepId.New();

    [Fact]
    public void ASessionWithoutSoundHasNone() => Assert.Equal(new DoseView(0, 0), Dose());

    [Fact]
    public void ATonePlayedLongEnoughAtOneHundredDecibelsIsAWholeDay()
    {
        // NIOSH 1998: 100 dB(A) is allowed for 15 minutes. At 1000 Hz the diffuse-field threshold is 0.8 dB SPL (ISO 389-7:2005) and the A-weighting 0 dB.
        var dose = Dose(Tone(Ear.Right, 99.2, 15 * 60 * 1000, ToneShape.Steady));

        Assert.Equal(100, dose.RightPercent, 3);
        Assert.Equal(0, dose.LeftPercent);
    }

    [Fact]
    public void ThreeDecibelsMoreAreTwiceAsMuch() =>
        Assert.Equal(2 * Dose(Tone(Ear.Left, 60, 1500, ToneShape.Steady)).LeftPercent, Dose(Tone(Ear.Left, 63, 1500, ToneShape.Steady)).LeftPercent, 9);

    [Fact]
    public void OfAPulsedToneThePulsesCountAndOfACatchTrialNothing()
    {
        var steady = Dose(Tone(Ear.Left, 60, 1500, ToneShape.Steady)).LeftPercent;

        Assert.InRange(Dose(Tone(Ear.Left, 60, 1500, ToneShape.Pulsed)).LeftPercent, 0.5 * steady, 0.65 * steady);
        Assert.Equal(0, Dose(new TrialTaken(_step, Samples.Trial(level: 90) with { Kind = TrialKind.Catch }, 0)).RightPercent);
    }

    [Fact]
    public void AProofCountsTheSidesItPlayedAndABrokenOneAllItCouldHavePlayed()
    {
        var result = new SideProofResult([new(Ear.Right, Ear.Right), new(Ear.Right, Ear.Right), new(Ear.Right, Ear.Right), new(Ear.Left, Ear.Left)]);

        var whole = Dose(Proof(), new StepOver(_step, StepEnding.Completed, null, null, result, 0));
        var broken = Dose(Proof(), new StepOver(_step, StepEnding.Interrupted, null, null, null, 0));
        var refused = Dose(Proof(), new StepOver(_step, StepEnding.Refused, null, null, null, 0));

        Assert.Equal(3 * whole.LeftPercent, whole.RightPercent, 9);
        Assert.Equal(4 * whole.LeftPercent, broken.LeftPercent, 9);
        Assert.Equal(broken.LeftPercent, broken.RightPercent, 9);
        Assert.Equal(0, refused.RightPercent);
    }

    private static StepOrdered Proof() => new(
        new StepOrder(SessionId.New(), _step, 1, 1, 0, 100, 1, [], new ProveSidesStep(4, 1000, 70)),
        false,
        new Actor("person-1", "Maren Toft"));

    private static TrialTaken Tone(Ear ear, double level, double durationMs, ToneShape shape) =>
        new(_step, Samples.Trial(level: level) with { Ear = ear, DurationMs = durationMs, Shape = shape }, 0);

    private static DoseView Dose(params SessionEvent[] events) => SessionDose.Of(SessionState.Empty(SessionId.New()) with
    {
        History = [.. events.Select((happened, index) => new RecordedEvent(index + 1, default, happened))],
    });
}
