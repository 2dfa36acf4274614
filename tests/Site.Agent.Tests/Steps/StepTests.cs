using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Noise;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Site.Agent.Steps;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Steps;

/// <summary>Each kind of step, carried out by the whole agent for a real hub with the simulated person.</summary>
public sealed class StepTests : IAsyncLifetime
{
    private readonly TempFolder _folder = new();
    private readonly FailingFiles _files = new();
    private TestHub _hub = null!;

    public async ValueTask InitializeAsync() => _hub = await TestHub.StartAsync();

    public async ValueTask DisposeAsync()
    {
        await _hub.DisposeAsync();
        _folder.Dispose();
    }

    private async Task<RunningAgent> StartAsync(Func<RunOptions, RunOptions>? change = null, Func<Ear?>? personNames = null)
    {
        var options = RunningAgent.OptionsFor(_folder, _hub.Address);
        var agent = await RunningAgent.StartAsync(change?.Invoke(options) ?? options, services =>
        {
            services.AddSingleton<IDurableFiles>(_files);
            if (personNames is not null)
            {
                // started first, so its answer comes first
                services.Insert(0, ServiceDescriptor.Singleton<IHostedService>(provider => new SimulatedPerson(provider.GetRequiredService<SideAnswers>(), personNames)));
            }
        });
        await _hub.UntilAsync(hub => !hub.Hellos.IsEmpty);
        return agent;
    }

    private async Task<StepEnded> CarryAsync(StepRequest request, long number = 1, Func<StepOrder, StepOrder>? change = null)
    {
        var order = _hub.Order(request, number);
        order = change?.Invoke(order) ?? order;
        await _hub.CarryAsync(order);
        return await _hub.EndOfAsync(order.StepId);
    }

    /// <summary>A room with a tone in it, dB SPL: the microphone's scale is 120 dB SPL at RMS 1.</summary>
    private string RoomFile(double levelDbSpl, double hertz = 1000)
    {
        var peak = Math.Sqrt(2) * Math.Pow(10, (levelDbSpl - 120) / 20);
        var samples = Enumerable.Range(0, AudioFormat.SampleRateHz).Select(frame => (float)(peak * Math.Sin(Math.Tau * hertz * frame / AudioFormat.SampleRateHz))).ToArray();
        WavFile.Write(_folder.Inside("room.wav"), samples, AudioFormat.SampleRateHz, 1);
        return _folder.Inside("room.wav");
    }

    [Fact]
    public async Task AWholeKitPassesItsCheck()
    {
        await using var agent = await StartAsync();

        var result = Assert.IsType<KitCheckResult>((await CarryAsync(new CheckKitStep())).Result);

        Assert.True(result.Passed, string.Join('\n', result.Lines));
        Assert.Equal(["certificate", "serials", "bone-vibrator", "output", "microphone", "clock", "disk", "protocol"], result.Lines.Select(line => line.Code));
        Assert.Equal(Provisioner.Kit.TransducerSerial, result.Gear?.TransducerSerial);
    }

    [Fact]
    public async Task ARoomIsReadAsLoudAsItIs()
    {
        await using var agent = await StartAsync(options => options with { Room = RoomFile(60) });

        var room = Assert.IsType<RoomResult>((await CarryAsync(new MeasureRoomStep(3))).Result);

        Assert.Equal(60, room.Bands.Single(band => band.BandHz == 1000).LevelDbSpl, 0.5);
        Assert.Equal(60, room.HighestBands.Single(band => band.BandHz == 1000).LevelDbSpl, 0.5);
        // circumaural limit at 1 kHz: 23 dB SPL for supra-aural earphones, raised by the attenuation 29 against 15 dB (ISO 8253-1:2010, Tables 2 and 3) = 37; 60 - 37 = 23, so 25 dB HL
        Assert.Equal(25, room.LowestProvable.Single(bound => bound.FrequencyHz == 1000).LevelDbHl);
        Assert.Equal(AudiometricFrequency.All.Select(frequency => frequency.Hertz), room.LowestProvable.Select(bound => bound.FrequencyHz));
    }

    [Fact]
    public async Task TheSideProofIsRightWhenThePersonHearsEachSideAndNamesIt()
    {
        await using var agent = await StartAsync();

        var proof = Assert.IsType<SideProofResult>((await CarryAsync(new ProveSidesStep(6, 1000, 50))).Result);

        Assert.True(proof.Passed);
        Assert.Equal(6, proof.Trials.Count);
        Assert.Contains(proof.Trials, trial => trial.Played == Ear.Left);
        Assert.Contains(proof.Trials, trial => trial.Played == Ear.Right);
    }

    [Fact]
    public async Task APersonWhoAlwaysNamesTheSameSideFailsTheSideProof()
    {
        await using var agent = await StartAsync(personNames: () => Ear.Left);

        var proof = Assert.IsType<SideProofResult>((await CarryAsync(new ProveSidesStep(6, 1000, 50))).Result);

        Assert.False(proof.Passed, string.Join(' ', proof.Trials));
        Assert.All(proof.Trials, trial => Assert.Equal(Ear.Left, trial.Answered));
    }

    [Fact]
    public async Task AnAnswerBeforeTheSoundDoesNotCount()
    {
        await using var agent = await StartAsync();
        var sides = agent.Get<SideAnswers>();
        sides.Answer(Ear.Right);

        Assert.Null(await sides.TakeAsync(TimeSpan.FromMilliseconds(1), TimeProvider.System, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task ATrialInARoomTooLoudIsVoidWithItsNoise()
    {
        await using var agent = await StartAsync(options => options with { Room = RoomFile(75) });

        await CarryAsync(new PresentToneStep(Ear.Right, 1000, 30, ToneShape.Pulsed, 1200));

        var trial = Assert.Single(_hub.All<TrialDone>()).Trial;
        Assert.Equal(TrialVerdict.Void, trial.Verdict);
        var noise = Assert.Single(trial.Noise);
        Assert.Equal((1000, 67), (noise.BandHz, noise.LimitDbSpl));
        Assert.Equal(75, noise.LevelDbSpl, 0.5);
        Assert.Contains("too loud", trial.VoidReason, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AToneByHandStartsAtOnceWithTheNoiseFiltersSettledOnWhatWasHeardBefore()
    {
        await using var agent = await StartAsync(options => options with { Room = RoomFile(60, hertz: 125) });

        await CarryAsync(new PresentToneStep(Ear.Right, 250, 50, ToneShape.Steady, 400));
        await CarryAsync(new PresentToneStep(Ear.Right, 250, 50, ToneShape.Steady, 400), number: 2);

        // At fast pace the kit clock stands still between steps.
        var trials = _hub.All<TrialDone>().Select(done => done.Trial).ToList();
        var firstEndedMs = trials[0].OnsetKitMs + trials[0].DurationMs + TrialPlayer.ResponseUntilMs;
        Assert.InRange(trials[1].OnsetKitMs - firstEndedMs, 0, 2 * AudioFormat.MillisecondsOf(AudioFormat.BlockFrames));
        Assert.All(trials, trial => Assert.Equal(60, Assert.Single(trial.Noise, noise => noise.BandHz == 125).LevelDbSpl, 0.5));
    }

    [Fact]
    public async Task ASearchInANoisyRoomEndsAtTheBoundAndNeverGoesBelowIt()
    {
        await using var agent = await StartAsync(options => options with { Room = RoomFile(60) });

        await CarryAsync(
            new SearchThresholdStep(Ear.Right, 1000, StoppingRule.TwoOfThree, ToneShape.Pulsed),
            change: order => order with { LowestProvable = [new(1000, 25, true, 1000)] });

        var found = Assert.Single(_hub.All<ThresholdFound>()).Threshold;
        Assert.All(found.Trials, trial => Assert.True(trial.LevelDbHl >= 25));
        Assert.Equal(25, found.RoomBoundDbHl);
        Assert.IsNotType<ThresholdOutcome.NoResponseAtLimit>(found.Outcome);
        Assert.False(found.Outcome is ThresholdOutcome.Established { LevelDbHl: <= 25 });
    }

    [Fact]
    public async Task TheSensitivityComesFromTheMicrophonesOwnRecord()
    {
        // The simulated microphone gives 120 dB SPL at RMS 1; a record that says 117 reads everything 3 dB lower.
        GearFiles.WriteIfAbsent(_folder.Inside(GearFiles.KitFile), Provisioner.Kit with { Microphone = Provisioner.Kit.Microphone! with { SplAtRmsOneDb = 117 } });
        await using var agent = await StartAsync(options => options with { Room = RoomFile(60) });

        var room = Assert.IsType<RoomResult>((await CarryAsync(new MeasureRoomStep(2))).Result);

        Assert.Equal(57, room.Bands.Single(band => band.BandHz == 1000).LevelDbSpl, 0.5);
    }

    [Fact]
    public async Task AMicrophoneRecordThatCannotBeTrueFailsTheCheckAndMeasuresNothing()
    {
        GearFiles.WriteIfAbsent(_folder.Inside(GearFiles.KitFile), Provisioner.Kit with { Microphone = Provisioner.Kit.Microphone! with { SplAtRmsOneDb = 3 } });
        await using var agent = await StartAsync();

        var check = Assert.IsType<KitCheckResult>((await CarryAsync(new CheckKitStep())).Result);
        var room = Assert.IsType<RoomResult>((await CarryAsync(new MeasureRoomStep(2), number: 2)).Result);

        var line = check.Lines.Single(line => line.Code == "microphone");
        Assert.False(line.Passed);
        Assert.Contains("sensitivity", line.Finding, StringComparison.Ordinal);
        Assert.Contains("sensitivity", room.NotMeasured, StringComparison.Ordinal);
    }

    [Fact]
    public async Task TheRoomMayBeHeldAgainstOtherLimits()
    {
        GearFiles.WriteIfAbsent(_folder.Inside(GearFiles.KitFile), Provisioner.Kit with { TransducerKind = Audiology.Levels.TransducerKind.Insert });
        await using var agent = await StartAsync(options => options with { Room = RoomFile(60) });

        var room = Assert.IsType<RoomResult>((await CarryAsync(new MeasureRoomStep(2) { Criterion = NoiseCriterion.AnsiOctave })).Result);

        // ANSI S3.1, inserts, octave of 1 kHz: 47 dB, from memory for tones from 250 Hz; 60 - 47 = 13, so 15 dB HL
        var bound = room.LowestProvable.Single(bound => bound.FrequencyHz == 1000);
        Assert.Equal((15.0, 1000.0, ValueStatus.FromMemory), (bound.LevelDbHl, bound.LimitingBandHz, bound.LimitStatus));
        Assert.Equal(NoiseCriterion.AnsiOctave, room.Criterion);
        Assert.Equal(AudiometricFrequency.All.Count, room.LowestProvable.Count);
    }

    [Fact]
    public async Task LimitsThatAreNotPrintedForTheseEarphonesAreNotMadeUp()
    {
        await using var agent = await StartAsync();

        var room = await CarryAsync(new MeasureRoomStep(2) { Criterion = NoiseCriterion.AnsiThirdOctave });

        Assert.Equal((StepEnding.Failed, null), (room.Ending, room.Result));
        Assert.Contains("not printed", room.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AMicrophoneOverloadedByTheRoomMeasuresNothing()
    {
        // 140 dB SPL is ten times full scale
        await using var agent = await StartAsync(options => options with { Room = RoomFile(140) });

        await CarryAsync(new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Pulsed, 1000));
        var room = await CarryAsync(new MeasureRoomStep(2), number: 2);

        var trial = Assert.Single(_hub.All<TrialDone>()).Trial;
        Assert.Equal(TrialVerdict.Void, trial.Verdict);
        Assert.Contains("overloaded", trial.VoidReason, StringComparison.Ordinal);
        Assert.Empty(trial.Noise);
        Assert.Equal((StepEnding.Failed, null), (room.Ending, room.Result));
        Assert.Contains("overloaded", room.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public async Task TheRoomIsToldLiveWhileASessionIsInHand()
    {
        await using var agent = await StartAsync(options => options with { Room = RoomFile(60), Pace = Pace.Realtime });
        await CarryAsync(new MeasureRoomStep(2));

        await _hub.UntilAsync(hub => hub.Signals.Any(signal => signal.Kind == LiveSignalKind.RoomHeard));
        var room = _hub.Signals.Last(signal => signal.Kind == LiveSignalKind.RoomHeard).Room!;
        Assert.Equal(ThirdOctaveBands.Nominal.Count, room.LevelsDbSpl.Count);
        Assert.Equal(60, room.LevelsDbSpl[ThirdOctaveBands.Nominal.ToList().IndexOf(1000)], 0.5);
        Assert.Equal(60, room.WeightedDb, 0.5);
        Assert.Null(room.Fault);
    }

    [Fact]
    public async Task WithoutAMicrophoneNothingIsClaimedAboutNoise()
    {
        GearFiles.WriteIfAbsent(_folder.Inside(GearFiles.KitFile), Provisioner.Kit with { Microphone = null });
        await using var agent = await StartAsync();

        await CarryAsync(new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Pulsed, 1000));
        var room = await CarryAsync(new MeasureRoomStep(2), number: 2);

        Assert.Empty(Assert.Single(_hub.All<TrialDone>()).Trial.Noise);
        Assert.Equal(TrialVerdict.Heard, _hub.All<TrialDone>()[0].Trial.Verdict);
        var result = Assert.IsType<RoomResult>(room.Result);
        Assert.Empty(result.Bands);
        Assert.Empty(result.LowestProvable);
        Assert.Contains("no measurement microphone", result.NotMeasured, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AThresholdStandsAloneWithItsTrialsInOrder()
    {
        await using var agent = await StartAsync();

        await CarryAsync(new SearchEarStep(Ear.Right, [1000, 2000], StoppingRule.TwoOfThree, ToneShape.Steady));

        var trials = _hub.All<TrialDone>().Select(done => done.Trial).ToList();
        Assert.Equal(Enumerable.Range(1, trials.Count), trials.Select(trial => trial.Number));
        Assert.Equal(trials.Select(trial => trial.Number), _hub.All<ThresholdFound>().SelectMany(found => found.Threshold.Trials).Select(trial => trial.Number));
        Assert.All(trials.Zip(trials.Skip(1)), pair => Assert.InRange(pair.Second.OnsetKitMs - pair.First.OnsetKitMs - pair.First.DurationMs, 1200 - 1, 3000 + 2000 + 1));
        Assert.All(_hub.All<ThresholdFound>(), found => Assert.Equal("SIM-CERT-0001", found.Threshold.Gear.CertificateId));
    }

    [Fact]
    public async Task AFullDiskEndsTheStepAndNoResultLeavesThatIsNotKept()
    {
        await using var agent = await StartAsync();
        _files.Full = true;
        var order = _hub.Order(new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Pulsed, 1000));
        await _hub.CarryAsync(order);
        await _hub.CarryAsync(order);
        await Wait.UntilAsync(() => agent.Get<FactWriter>().Owes);
        Assert.DoesNotContain(_hub.Held, entry => entry.Report is StepStarted or TrialDone);

        _files.Full = false;
        var next = await CarryAsync(new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Pulsed, 1000), number: 2);

        Assert.Equal(StepEnding.Completed, next.Ending);
        var ended = await _hub.EndOfAsync(order.StepId);
        Assert.Equal((StepEnding.Failed, RefusalCodes.StorageFault), (ended.Ending, ended.Code));
        // It came twice, and the disk could keep neither; what came of it is said once all the same.
        Assert.Single(_hub.All<StepEnded>(), end => end.StepId == order.StepId);
    }

    [Fact]
    public async Task TheSameSeedGivesTheSameTrials()
    {
        async Task<List<(double, TrialKind, double)>> RunAsync()
        {
            using var folder = new TempFolder();
            await using var hub = await TestHub.StartAsync();
            await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
            await hub.UntilAsync(h => !h.Hellos.IsEmpty);
            var order = hub.Order(new SearchThresholdStep(Ear.Right, 2000, StoppingRule.ThreeOfFive, ToneShape.Pulsed));
            await hub.CarryAsync(order);
            await hub.EndOfAsync(order.StepId);
            return [.. hub.All<TrialDone>().Select(done => (done.Trial.LevelDbHl, done.Trial.Kind, done.Trial.OnsetKitMs))];
        }

        Assert.Equal(await RunAsync(), await RunAsync());
    }

    [Fact]
    public void ASideProofGoesToEachSideAtLeastTwiceInAnOrderOfItsOwn()
    {
        var orders = Enumerable.Range(1, 200).Select(seed => SideProof.Order(6, new Random(seed))).ToList();

        Assert.All(orders, sides => Assert.True(sides.Count == 6 && sides.Count(side => side == Ear.Right) is >= 2 and <= 4));
        Assert.True(orders.Select(sides => string.Concat(sides)).Distinct().Count() > 30);
        Assert.Equal(2, SideProof.Order(2, new Random(1)).Distinct().Count());
    }
}
