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
    /// <summary>At 2 kHz a right ear of 90 dB HL beside a left one of 10: unmasked the left ear answers for it across the head, at about 70 dB HL (interaural attenuation 61 dB at 2 kHz, Chaiklin 1967, mean, from memory). At 1 kHz, where the sides are proved, both hear.</summary>
    private const string Asymmetric = "ear,frequency_hz,air_db_hl,bone_db_hl\nright,1000,20,\nright,2000,90,\nleft,1000,10,\nleft,2000,10,\n";

    [Fact]
    public async Task AnEarThatTheOtherAnswersForIsMaskedUntilItsOwnThresholdIsFound()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", hubFolder: null, cancellation, Asymmetric);
        await rig.WalkTo(SessionStage.Testing, cancellation);
        await rig.Must(new ChooseProtocol("frail-person", 1), TestContext.Current.CancellationToken);
        foreach (var (ear, hertz) in new[] { Ear.Right, Ear.Left }.SelectMany(ear => new[] { 500, 4000 }.Select(hertz => (ear, hertz))))
        {
            await rig.Must(new ChangePlan(new PlanOverride.SkipFrequency(new PlanPart(ear, ConductionRoute.Air, Masked: false), hertz)), TestContext.Current.CancellationToken);
        }

        var parts = new List<PlanPart>();
        while (rig.Link.View.Plan is { Standing: PlanStanding.Measure, Part: { } part })
        {
            Assert.True(parts.Count < 8, string.Join("; ", parts));
            parts.Add(part);
            await rig.Carry(new MeasurePartStep(part), loudConfirmed: true, cancellation);
        }

        var view = rig.Link.View;
        Assert.Equal(PlanStanding.Finished, view.Plan!.Standing);
        Assert.Contains(new PlanPart(Ear.Right, ConductionRoute.Air, Masked: true), parts);
        var right = view.Thresholds.Single(threshold => threshold is { Ear: Ear.Right, FrequencyHz: 2000 });
        Assert.Equal(MaskingVerdict.Plateau, right.Masking!.Verdict);
        Assert.InRange(Assert.IsType<ThresholdOutcome.Established>(right.Outcome).LevelDbHl, 85, 95);

        // What the other ear had answered for stays on record, superseded.
        Assert.InRange(Assert.IsType<ThresholdOutcome.Established>(view.Superseded.Single(threshold => threshold is { Ear: Ear.Right, FrequencyHz: 2000 }).Outcome).LevelDbHl, 65, 80);
        Assert.All(view.Reliability, ear => Assert.NotEqual(EarVerdict.Repeat, ear.Verdict));
    }
}
