using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Protocols;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>An audiogram by protocol, with masking, through real hub and kit processes and the samples the kit truly sent.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class ProtocolTests
{
    /// <summary>At 2 kHz a right ear of 90 dB HL beside a left one of 10: unmasked the left ear answers for it across the head, at about 70 dB HL (interaural attenuation 61 dB at 2 kHz, Chaiklin 1967, mean, from memory). At 1 kHz, where the sides are proved, both hear.</summary>
    private const string Asymmetric = "ear,frequency_hz,air_db_hl,bone_db_hl\nright,1000,20,\nright,2000,90,\nleft,1000,10,\nleft,2000,10,\n";

    /// <summary>Both ears by bone on the forehead, always masked.</summary>
    private const string Forehead = """
        { "id": "forehead", "version": 1, "name": "Forehead", "airHz": [1000], "retest": "none", "interOctaves": false, "bone": "forehead", "boneHz": [1000], "maskingRules": "bone-always", "stoppingRule": "two-of-three-ascents" }
        """;

    [Fact]
    public async Task OnTheForeheadHubAndKitAgreeThatTheOtherEarNeedsItsGear()
    {
        var cancellation = TestContext.Current.CancellationToken;
        using var folder = new TempFolder();
        await using (var shelf = HubHost.Build(new HubSettings { DataFolder = folder.Inside("hub"), Urls = "http://127.0.0.1:0", ServeConsole = false, LogToConsole = false }))
        {
            Assert.NotNull((await shelf.Services.GetRequiredService<ProtocolShelf>().HandIn(Forehead, keep: true, "Maren Toft", cancellation)).Kept);
        }

        await using var rig = await SessionRig.Start("valid", "fast", folder.Path, cancellation, "ear,frequency_hz,air_db_hl,bone_db_hl\nright,1000,30,\nleft,1000,30,\n");
        await rig.WalkTo(SessionStage.Testing, cancellation);
        await rig.Must(new ChooseProtocol("forehead", 1), cancellation);
        var gear = new List<PlanPart>();
        var parts = new List<PlanPart>();
        while (rig.Link.View.Plan is { Part: { } part } plan)
        {
            Assert.True(gear.Count + parts.Count < 12, string.Join("; ", parts));
            (plan.Standing == PlanStanding.ChangeGear ? gear : parts).Add(part);

            // Carried to its end, which no refusal of the kit is.
            await rig.Carry(plan.Standing == PlanStanding.ChangeGear ? new WearGearStep(part.Route, part.Route == ConductionRoute.Air ? null : part.Ear) : new MeasurePartStep(part), loudConfirmed: false, cancellation);
        }

        Assert.Equal(PlanStanding.Finished, rig.Link.View.Plan!.Standing);
        Assert.Equal([Ear.Right, Ear.Left], gear.Select(part => part.Ear));
        Assert.All(gear, part => Assert.Equal(ConductionRoute.BoneForehead, part.Route));
        foreach (var ear in new[] { Ear.Right, Ear.Left })
        {
            var bone = rig.Link.View.Thresholds.Single(threshold => threshold.Ear == ear && threshold is { Route: ConductionRoute.BoneForehead, Masking: not null });
            Assert.True(bone.Outcome is ThresholdOutcome.Established { LevelDbHl: >= 25 and <= 35 }, $"{bone.Outcome}: {bone.Masking!.Reason}");
            Assert.All(bone.Trials, trial => Assert.NotNull(trial.MaskerDbEm));
        }
    }

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
