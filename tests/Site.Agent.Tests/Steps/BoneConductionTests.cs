using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Steps;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Steps;

/// <summary>Bone conduction and the change of gear, carried out by the whole agent for a real hub with the simulated person.</summary>
public sealed class BoneConductionTests : IAsyncLifetime
{
    /// <summary>A conductive right ear (gap 40 dB), a left one with a sensorineural loss of 60 dB.</summary>
    private const string Conductive = "right,500,40,0\nright,1000,40,0\nleft,500,60,\nleft,1000,60,\n";

    private readonly TempFolder _folder = new();
    private TestHub _hub = null!;
    private long _number;

    public async ValueTask InitializeAsync() => _hub = await TestHub.StartAsync();

    public async ValueTask DisposeAsync()
    {
        await _hub.DisposeAsync();
        _folder.Dispose();
    }

    private async Task<RunningAgent> StartAsync(string listener = Conductive, Func<RunOptions, RunOptions>? change = null, CertificateChoice certificate = CertificateChoice.Valid)
    {
        File.WriteAllText(_folder.Inside("listener.csv"), "ear,frequency_hz,air_db_hl,bone_db_hl\n" + listener);
        var options = RunningAgent.OptionsFor(_folder, _hub.Address, certificate: certificate) with { Listener = _folder.Inside("listener.csv"), ListenerSpreadDb = 0.1 };
        var hellos = _hub.Hellos.Count;
        var agent = await RunningAgent.StartAsync(change?.Invoke(options) ?? options);
        await _hub.UntilAsync(hub => hub.Hellos.Count > hellos);
        return agent;
    }

    private async Task<StepEnded> CarryAsync(StepRequest request, Func<StepOrder, StepOrder>? change = null)
    {
        var order = _hub.Order(request, ++_number);
        order = change?.Invoke(order) ?? order;
        await _hub.CarryAsync(order);
        return await _hub.EndOfAsync(order.StepId);
    }

    private Task<StepEnded> WearAsync(ConductionRoute route, Ear? ear) => CarryAsync(new WearGearStep(route, ear));

    private static PresentToneStep Bone(double level, int hertz = 1000, Ear ear = Ear.Right, double? masker = null, ConductionRoute route = ConductionRoute.BoneMastoid) =>
        new(ear, hertz, level, ToneShape.Steady, 1000) { Route = route, MaskerDbEm = masker };

    private IReadOnlyList<TrialRecord> Trials => [.. _hub.All<TrialDone>().Select(done => done.Trial)];

    [Fact]
    public async Task NothingIsPlayedByBoneUntilTheVibratorIsMarkedAsWornAndNothingByAirUntilTheEarphonesAre()
    {
        await using var agent = await StartAsync();

        var early = await CarryAsync(Bone(20));
        Assert.Equal((StepEnding.Refused, RefusalCodes.GearNotWorn), (early.Ending, early.Code));
        Assert.Contains("the vibrator behind the right ear", early.Reason, StringComparison.Ordinal);

        Assert.Equal(StepEnding.Completed, (await WearAsync(ConductionRoute.BoneMastoid, Ear.Right)).Ending);
        Assert.Equal(StepEnding.Completed, (await CarryAsync(Bone(20))).Ending);
        Assert.Equal(RefusalCodes.GearNotWorn, (await CarryAsync(Bone(20, ear: Ear.Left))).Code);
        Assert.Equal(RefusalCodes.GearNotWorn, (await CarryAsync(Bone(20, route: ConductionRoute.BoneForehead))).Code);
        Assert.Equal(RefusalCodes.GearNotWorn, (await CarryAsync(new PresentToneStep(Ear.Right, 1000, 20, ToneShape.Steady, 1000))).Code);
        Assert.Equal(RefusalCodes.GearNotWorn, (await CarryAsync(new ProveSidesStep(4, 1000, 50))).Code);

        Assert.Equal(StepEnding.Completed, (await WearAsync(ConductionRoute.Air, null)).Ending);
        Assert.Equal(StepEnding.Completed, (await CarryAsync(new PresentToneStep(Ear.Right, 1000, 45, ToneShape.Steady, 1000))).Ending);
        Assert.Equal([ConductionRoute.BoneMastoid, ConductionRoute.Air], Trials.Select(trial => trial.Route));
    }

    /// <summary>The conductive ear hears by bone at 0 dB HL, by air at 40; ISO 389-3 mastoid (confirmed) and forehead (from memory) both lead to the same hearing level.</summary>
    [Theory]
    [InlineData(ConductionRoute.BoneMastoid)]
    [InlineData(ConductionRoute.BoneForehead)]
    public async Task ToneByBoneIsHeardAtTheBoneThreshold(ConductionRoute route)
    {
        await using var agent = await StartAsync();
        await WearAsync(route, Ear.Right);

        await CarryAsync(Bone(-5, route: route));
        await CarryAsync(Bone(5, route: route));

        Assert.Equal([TrialVerdict.NotHeard, TrialVerdict.Heard], Trials.Select(trial => trial.Verdict));
        Assert.All(Trials, trial => Assert.Equal(route, trial.Route));
    }

    [Fact]
    public async Task ASearchByBoneFindsTheBoneThresholdAndNamesTheVibrator()
    {
        await using var agent = await StartAsync();
        await WearAsync(ConductionRoute.BoneMastoid, Ear.Right);

        await CarryAsync(new SearchThresholdStep(Ear.Right, 1000, StoppingRule.TwoOfThree, ToneShape.Steady) { Route = ConductionRoute.BoneMastoid });

        var found = Assert.Single(_hub.All<ThresholdFound>()).Threshold;
        Assert.InRange(Assert.IsType<ThresholdOutcome.Established>(found.Outcome).LevelDbHl, 0, 5);
        Assert.Equal((ConductionRoute.BoneMastoid, TransducerKind.BoneVibrator, "SIM-CERT-B-0001"), (found.Route, found.Gear.TransducerKind, found.Gear.CertificateId));
    }

    /// <summary>Left ear dead, right ear good and covered: a tone by bone on the left is heard by the right ear, 15 dB better by the occlusion effect at 500 Hz (Martin and Clark, as summarised by others), until it is masked.</summary>
    [Fact]
    public async Task TheOtherEarAnswersByBoneUntilItIsMasked()
    {
        await using var agent = await StartAsync("left,500,120,120\nright,500,5,\n");
        await WearAsync(ConductionRoute.BoneMastoid, Ear.Left);

        await CarryAsync(Bone(-5, 500, Ear.Left));
        await CarryAsync(Bone(20, 500, Ear.Left, masker: 50));
        await CarryAsync(Bone(45, 500, Ear.Left, masker: 50));

        // 5 - 15 = -10 dB HL without a masker, 50 - 15 = 35 dB HL with one of 50 dB EM
        Assert.Equal([TrialVerdict.Heard, TrialVerdict.NotHeard, TrialVerdict.Heard], Trials.Select(trial => trial.Verdict));
    }

    /// <summary>Right ear 50 dB HL by air and 30 by bone, left ear 20 by both: without a masker the left ear answers for the right one by bone at 20 dB HL, since the head takes nothing away by bone.</summary>
    [Theory]
    [InlineData(ConductionRoute.BoneMastoid)]
    [InlineData(ConductionRoute.BoneForehead)]
    public async Task AMaskedSearchByBoneFindsTheEarsOwnThresholdWithTheMaskerInTheOtherEarAndKeepsItsEvidence(ConductionRoute route)
    {
        var agent = await StartAsync("right,1000,50,30\nleft,1000,20,20\n");
        await WearAsync(route, Ear.Right);
        await CarryAsync(new SearchThresholdStep(Ear.Right, 1000, StoppingRule.TwoOfThree, ToneShape.Steady) { Route = route });
        var alone = Assert.Single(_hub.All<ThresholdFound>()).Threshold;
        Assert.InRange(Assert.IsType<ThresholdOutcome.Established>(alone.Outcome).LevelDbHl, 15, 25);

        IReadOnlyList<Measurement> known =
        [
            new(Ear.Right, ConductionRoute.Air, 1000, new ThresholdOutcome.Established(50)),
            new(Ear.Left, ConductionRoute.Air, 1000, new ThresholdOutcome.Established(20)),
            alone.ToMeasurement(),
        ];
        var ended = await CarryAsync(new SearchThresholdStep(Ear.Right, 1000, StoppingRule.TwoOfThree, ToneShape.Steady) { Route = route, Masked = true, Known = known });

        Assert.Equal(StepEnding.Completed, ended.Ending);
        var found = _hub.All<ThresholdFound>()[^1].Threshold;
        Assert.InRange(Assert.IsType<ThresholdOutcome.Established>(found.Outcome).LevelDbHl, 25, 35);
        Assert.Equal((route, TransducerKind.BoneVibrator), (found.Route, found.Gear.TransducerKind));

        // A plateau: the evidence has its levels, and every trial its masker.
        Assert.Equal(MaskingVerdict.Plateau, found.Masking!.Verdict);
        Assert.NotEmpty(found.Masking.Points);
        Assert.All(found.Trials, trial => Assert.Equal((Ear.Right, route, true), (trial.Ear, trial.Route, trial.MaskerDbEm is not null)));
        Assert.True(found.Trials.Max(trial => trial.MaskerDbEm) >= found.Trials.Min(trial => trial.MaskerDbEm) + 15);

        // What was sent: nothing on the left channel, where the earphone is, before the first masker; noise there with every masked trial, and in silent trials nothing on the vibrator's.
        await agent.DisposeAsync();
        var samples = WavFile.ReadFloats(_folder.Inside("played.wav"));
        var unmasked = (int)AudioFormat.FramesOf(alone.Trials[^1].OnsetKitMs + alone.Trials[^1].DurationMs);
        Assert.DoesNotContain(Enumerable.Range(0, unmasked), frame => samples[2 * frame] != 0);
        foreach (var trial in found.Trials)
        {
            var (from, until) = ((int)AudioFormat.FramesOf(trial.OnsetKitMs), (int)AudioFormat.FramesOf(trial.OnsetKitMs + trial.DurationMs));
            Assert.Contains(Enumerable.Range(from, until - from), frame => samples[2 * frame] != 0);
            Assert.Equal(trial.Kind == TrialKind.Tone, Enumerable.Range(from, until - from).Any(frame => samples[(2 * frame) + 1] != 0));
        }
    }

    [Fact]
    public async Task WithoutAVibratorOrItsCertificateBoneIsRefusedInWords()
    {
        GearFiles.WriteIfAbsent(_folder.Inside(GearFiles.KitFile), Provisioner.Kit with { BoneVibrator = null });
        await using (await StartAsync())
        {
            var wear = await WearAsync(ConductionRoute.BoneMastoid, Ear.Right);
            Assert.Equal((StepEnding.Refused, RefusalCodes.GearMissing), (wear.Ending, wear.Code));
            Assert.Contains("no bone vibrator", wear.Reason, StringComparison.Ordinal);
            Assert.Equal(RefusalCodes.GearMissing, (await CarryAsync(Bone(20))).Code);
        }

        File.Delete(_folder.Inside(GearFiles.KitFile));
        File.Delete(_folder.Inside(GearFiles.BoneCalibrationFile));
        GearFiles.WriteIfAbsent(_folder.Inside(GearFiles.BoneCalibrationFile), Provisioner.BoneCertificate(DateOnly.FromDateTime(TimeProvider.System.GetLocalNow().Date), expired: true));
        await using (await StartAsync())
        {
            Assert.Equal(RefusalCodes.CertificateExpired, (await WearAsync(ConductionRoute.BoneMastoid, Ear.Right)).Code);
            var check = Assert.IsType<KitCheckResult>((await CarryAsync(new CheckKitStep())).Result);
            Assert.True(check.Passed);
            Assert.Contains("Nothing is tested by bone", check.Lines.Single(line => line.Code == "bone-vibrator").Finding, StringComparison.Ordinal);
        }
    }

    /// <summary>Range by bone: 250 Hz to 4 kHz; at 250 Hz 45 dB HL at most (IEC 60645-1, from memory).</summary>
    [Fact]
    public async Task OutsideItsRangeNothingIsPlayedByBone()
    {
        await using var agent = await StartAsync();
        await WearAsync(ConductionRoute.BoneMastoid, Ear.Right);

        Assert.Equal(RefusalCodes.OverCeiling, (await CarryAsync(Bone(20, 6000))).Code);
        Assert.Equal(RefusalCodes.OverCeiling, (await CarryAsync(Bone(20, 125))).Code);
        Assert.Equal(RefusalCodes.OverCeiling, (await CarryAsync(Bone(50, 250))).Code);
        Assert.Equal(StepEnding.Completed, (await CarryAsync(Bone(45, 250))).Ending);
    }

    /// <summary>ISO 8253-1:2010, Table 4: 7 dB SPL in the 1 kHz band with open ears (confirmed); 37 dB under circumaural earphones (Tables 2 and 3).</summary>
    [Fact]
    public async Task WithOpenEarsTheRoomHasToBeQuieter()
    {
        var peak = Math.Sqrt(2) * Math.Pow(10, (45 - 120) / 20.0);
        WavFile.Write(_folder.Inside("room.wav"), [.. Enumerable.Range(0, AudioFormat.SampleRateHz).Select(frame => (float)(peak * Math.Sin(Math.Tau * 1000 * frame / AudioFormat.SampleRateHz)))], AudioFormat.SampleRateHz, 1);
        await using var agent = await StartAsync(change: options => options with { Room = _folder.Inside("room.wav") });

        var room = Assert.IsType<RoomResult>((await CarryAsync(new MeasureRoomStep(2))).Result);
        await CarryAsync(new PresentToneStep(Ear.Right, 1000, 30, ToneShape.Steady, 1000));
        await WearAsync(ConductionRoute.BoneMastoid, Ear.Right);
        await CarryAsync(Bone(30));
        var low = await CarryAsync(Bone(30), order => order with { LowestProvableBone = room.LowestProvableBone });

        // 45 - 7 = 38, so 40 dB HL by bone; 45 - 37 = 8, so 10 dB HL by air
        Assert.Equal(40, room.LowestProvableBone!.Single(bound => bound.FrequencyHz == 1000).LevelDbHl);
        Assert.Equal(10, room.LowestProvable.Single(bound => bound.FrequencyHz == 1000).LevelDbHl);
        Assert.Equal([TrialVerdict.NotHeard, TrialVerdict.Void], Trials.Select(trial => trial.Verdict));
        Assert.Equal(37, Assert.Single(Trials[1].Noise).LimitDbSpl);
        Assert.Equal(RefusalCodes.BelowRoomBound, low.Code);
    }

    [Fact]
    public async Task AChangeThatIsNotMarkedAsDoneLeavesTheKitSilentAcrossARestart()
    {
        await using (var agent = await StartAsync(change: options => options with { Scripted = false }))
        {
            var order = _hub.Order(new WearGearStep(ConductionRoute.BoneMastoid, Ear.Left), ++_number);
            await _hub.CarryAsync(order);
            await Wait.UntilAsync(() => agent.Get<GearWorn>().Now is null);
            await _hub.CutAsync(order.StepId);
            Assert.Equal(StepEnding.Cut, (await _hub.EndOfAsync(order.StepId)).Ending);
        }

        await using (await StartAsync(change: options => options with { Scripted = false }))
        {
            var refused = await CarryAsync(new PresentToneStep(Ear.Right, 1000, 45, ToneShape.Steady, 1000));
            Assert.Equal(RefusalCodes.GearNotWorn, refused.Code);
            Assert.Contains("not known what the person wears", refused.Reason, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task TheScreenShowsTheCardUntilTheAssistantMarksItAsDone()
    {
        await using var agent = await StartAsync(change: options => options with { Scripted = false });
        var order = _hub.Order(new WearGearStep(ConductionRoute.BoneMastoid, Ear.Left), ++_number);
        await _hub.CarryAsync(order);
        await Wait.UntilAsync(() => agent.Get<CurrentStep>().Now is not null && agent.Get<GearWorn>().Now is null);

        var view = ScreenView.Of(agent.Get<KitScreenState>().Now, stopPressed: false, agent.Get<CurrentStep>().Now!.Order.Request);
        Assert.Equal((ScreenMode.Card, true, false), (view.Mode, view.CanMarkDone, view.Done));
        Assert.Contains("behind the left ear", string.Join(' ', view.Card.Steps), StringComparison.Ordinal);

        await Wait.UntilAsync(() =>
        {
            agent.Get<KitActions>().MarkDone();
            return agent.Get<GearWorn>().Now is not null;
        });
        Assert.Equal(StepEnding.Completed, (await _hub.EndOfAsync(order.StepId)).Ending);
        Assert.Equal(new Worn(ConductionRoute.BoneMastoid, Ear.Left), agent.Get<GearWorn>().Now);
    }
}
