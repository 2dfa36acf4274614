using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Audiology.Tests.PureTone.Planning;

namespace TeleHearing.Audiology.Tests.Masking;

/// <summary>What masking asks of the plan of a whole audiogram, under the ASHA-type rule (from memory).</summary>
public sealed class MaskingInPlanTests
{
    private static readonly TestProtocol _withBone = ShippedProtocols.DiagnosticWithBone with { Retest = RetestScope.None, RetestFurther = false, LowExtension = false, AirHz = [1000, 2000], BoneHz = [1000, 2000] };

    [Fact]
    public void AFrequencyAddedToOneEarIsMeasuredOnTheOtherToCompare()
    {
        // The right ear falls by 60 dB between 1 and 2 kHz, so 1500 Hz is added there; whether 60 dB HL is a shadow depends on the left ear.
        var plan = new PlanDriver(ShippedProtocols.Standard with { Retest = RetestScope.None, RetestFurther = false, LowExtension = false, AirHz = [1000, 2000] });
        plan.Run(step => At(step.Part.Ear == Ear.Left ? 0 : step.FrequencyHz switch { 1000 => 10, 1500 => 60, _ => 70 }));

        Assert.Equal("R1000 R2000 R1500 L1000 L2000 L1500 R2000m R1500m", plan.Written);
    }

    [Fact]
    public void WhereTheOtherEarsOwnThresholdIsUncertainBoneComesBeforeTheMasker()
    {
        // Without bone conduction the left ear's 45 dB HL may be the right ear's, and a masker counted from it may do nothing.
        var plan = new PlanDriver(_withBone);
        plan.Run(step => At((step.Part.Ear, step.Part.Route) switch { (Ear.Right, ConductionRoute.Air) => 90, (Ear.Left, ConductionRoute.Air) => 45, _ => 45 }));

        Assert.StartsWith("R1000 R2000 L1000 L2000 R1000b", plan.Written, StringComparison.Ordinal);
        Assert.EndsWith("R1000m R2000m", plan.Written, StringComparison.Ordinal);
    }

    [Fact]
    public void DilemmasDoNotMakeThePlanGiveUp()
    {
        // Eight dilemmas in a row are a finding about the head; the person did not fail.
        var plan = new PlanDriver(_withBone with { AirHz = ShippedProtocols.Standard.AirHz, BoneHz = ShippedProtocols.DiagnosticWithBone.BoneHz });
        plan.Run(step => step.Part.Masked ? new ThresholdOutcome.NotEstablished("A dilemma.") : At(step.Part.Route == ConductionRoute.Air ? 60 : 0));

        Assert.Equal(8, plan.Steps.OfType<PlanStep.Measure>().Count(step => step.Part is { Ear: Ear.Right, Route: ConductionRoute.Air, Masked: true }));
    }

    private static ThresholdOutcome At(double level) => new ThresholdOutcome.Established(level);
}
