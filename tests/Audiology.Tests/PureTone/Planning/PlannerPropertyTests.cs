using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;

namespace TeleHearing.Audiology.Tests.PureTone.Planning;

/// <summary>What holds for every plan, whatever the person answers.</summary>
public sealed class PlannerPropertyTests
{
    private static readonly Gen<(TestProtocol Protocol, int Seed)> _cases =
        from shipped in Gen.Elements<TestProtocol>([.. ShippedProtocols.All])
        from bone in Gen.Elements(BonePlacement.None, BonePlacement.Mastoid, BonePlacement.Forehead)
        from rules in Gen.Elements("attenuation-and-gap", "difference", "bone-always")
        from retest in Gen.Elements(RetestScope.FirstEar, RetestScope.BothEars)
        from look in Gen.Elements(true, false)
        from seed in Gen.Choose(0, 1_000_000)
        select (shipped with { Bone = bone, BoneHz = bone == BonePlacement.None ? [] : [1000, 2000, 500], MaskingRules = rules, Retest = retest, RetestFurther = true, QuickLookFirst = look && shipped.Method != ThresholdMethod.Estimate }, seed);

    [Fact]
    public void EveryPlanEndsAndEveryThresholdInItWasMeasured() => Prop.ForAll(_cases.ToArbitrary(), testCase =>
    {
        var plan = new PlanDriver(testCase.Protocol);
        var end = plan.Run(Person(testCase.Seed));
        return end is PlanStep.Finished && plan.Done.Count == plan.Steps.OfType<PlanStep.Measure>().Count();
    }).Check(Config.QuickThrowOnFailure.WithMaxTest(500));

    [Fact]
    public void ResumedAnywhereThePlanGoesOnTheSame() => Prop.ForAll(_cases.ToArbitrary(), testCase =>
    {
        var whole = new PlanDriver(testCase.Protocol);
        whole.Run(Person(testCase.Seed));
        var broken = PlanDriver.TakenUp(testCase.Protocol, whole, testCase.Seed % whole.Done.Count);
        broken.Run(step => whole.Done[broken.Done.Count].Outcome);
        return broken.Done.SequenceEqual(whole.Done);
    }).Check(Config.QuickThrowOnFailure.WithMaxTest(400));

    [Fact]
    public void NoFrequencyIsMeasuredMoreThanFourTimesInAPartUnlessTheOperatorWantsIt() => Prop.ForAll(_cases.ToArbitrary(), testCase =>
    {
        var plan = new PlanDriver(testCase.Protocol);
        plan.Run(Person(testCase.Seed));
        return plan.Steps.OfType<PlanStep.Measure>().GroupBy(step => (step.Part, step.FrequencyHz, step.Purpose == MeasurePurpose.QuickLook)).All(group => group.Count() <= 4);
    }).Check(Config.QuickThrowOnFailure.WithMaxTest(200));

    // One person in four answers nothing, one answers everything, the others anything.
    private static Func<PlanStep.Measure, ThresholdOutcome> Person(int seed)
    {
        var random = new System.Random(seed);
        return (seed % 4) switch
        {
            0 => _ => new ThresholdOutcome.NoResponseAtLimit(100),
            1 => _ => new ThresholdOutcome.NotEstablished("The person responded 3 times to silence."),
            _ => _ => random.Next(8) switch
            {
                0 => new ThresholdOutcome.NotEstablished("It did not settle."),
                1 => new ThresholdOutcome.NoResponseAtLimit(100),
                2 => new ThresholdOutcome.NoiseLimited(20),
                _ => new ThresholdOutcome.Established(5 * random.Next(-2, 20)),
            },
        };
    }
}
