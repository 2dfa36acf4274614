using TeleHearing.Audiology;
using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>An audiogram by protocol, with masking, through real hub and kit processes and the samples the kit truly sent.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class ProtocolTests
{
    /// <summary>A right ear of 90 dB HL beside a left one of 10: unmasked the left ear answers for it across the head, at about 70 dB HL (interaural attenuation 61 dB at 1 kHz, Chaiklin 1967, mean, from memory).</summary>
    private const string Asymmetric = "ear,frequency_hz,air_db_hl,bone_db_hl\nright,1000,90,\nleft,1000,10,\n";

    [Fact]
    public async Task AnEarThatTheOtherAnswersForIsMaskedUntilItsOwnThresholdIsFound()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", hubFolder: null, cancellation, Asymmetric);
        await rig.WalkTo(SessionStage.Testing, cancellation);
        await Must(rig, new ChooseProtocol("frail-person", 1));
        foreach (var (ear, hertz) in new[] { Ear.Right, Ear.Left }.SelectMany(ear => new[] { 500, 2000, 4000 }.Select(hertz => (ear, hertz))))
        {
            await Must(rig, new ChangePlan(new PlanOverride.SkipFrequency(new PlanPart(ear, ConductionRoute.Air, Masked: false), hertz)));
        }

        var parts = new List<PlanPart>();
        while (rig.Link.View.Plan is { Standing: PlanStanding.Measure, Part: { } part })
        {
            Assert.True(parts.Count < 8, string.Join("; ", parts));
            parts.Add(part);
            var receipt = await rig.Link.Ask(new OrderStep(new MeasurePartStep(part), LoudConfirmed: true), cancellation);
            Assert.True(receipt.Accepted(), receipt.Refusal?.Sentence);
            var done = await rig.Link.Until(seen => seen.Step is { Ending: not null } step && step.StepId == receipt.StepId, cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
            Assert.True(done.Step!.Ending == StepEnding.Completed, done.Step.Reason);
        }

        var view = rig.Link.View;
        Assert.Equal(PlanStanding.Finished, view.Plan!.Standing);
        Assert.Contains(new PlanPart(Ear.Right, ConductionRoute.Air, Masked: true), parts);
        var right = view.Thresholds.Single(threshold => threshold.Ear == Ear.Right);
        Assert.Equal(MaskingVerdict.Plateau, right.Masking!.Verdict);
        Assert.InRange(Assert.IsType<ThresholdOutcome.Established>(right.Outcome).LevelDbHl, 85, 95);

        // What the other ear had answered for stays on record, superseded.
        Assert.InRange(Assert.IsType<ThresholdOutcome.Established>(view.Superseded.Single(threshold => threshold.Ear == Ear.Right).Outcome).LevelDbHl, 65, 80);
        Assert.All(view.Reliability, ear => Assert.NotEqual(EarVerdict.Repeat, ear.Verdict));
    }

    private static async Task Must(SessionRig rig, SessionCommand command)
    {
        var receipt = await rig.Link.Ask(command, TestContext.Current.CancellationToken);
        Assert.True(receipt.Accepted(), receipt.Refusal?.Sentence);
        await rig.Link.Until(seen => seen.Version >= receipt.SessionVersion, TestContext.Current.CancellationToken);
    }
}
