using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Steps;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Steps;

/// <summary>Tones with a masker in the other ear, carried out by the whole agent for a real hub with the simulated person.</summary>
public sealed class MaskedTrialTests : IAsyncLifetime
{
    private readonly TempFolder _folder = new();
    private TestHub _hub = null!;

    public async ValueTask InitializeAsync() => _hub = await TestHub.StartAsync();

    public async ValueTask DisposeAsync()
    {
        await _hub.DisposeAsync();
        _folder.Dispose();
    }

    private async Task<RunningAgent> StartAsync(string listener, Pace pace = Pace.Fast)
    {
        File.WriteAllText(_folder.Inside("listener.csv"), "ear,frequency_hz,air_db_hl,bone_db_hl\n" + listener);
        var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(_folder, _hub.Address, pace) with { Listener = _folder.Inside("listener.csv"), ListenerSpreadDb = 0.1 });
        await _hub.UntilAsync(hub => !hub.Hellos.IsEmpty);
        return agent;
    }

    private async Task<StepEnded> CarryAsync(StepRequest request, long number)
    {
        var order = _hub.Order(request, number);
        await _hub.CarryAsync(order);
        return await _hub.EndOfAsync(order.StepId);
    }

    private static PresentToneStep Tone(double level, double? masker) => new(Ear.Right, 1000, level, ToneShape.Steady, 1000) { MaskerDbEm = masker };

    /// <summary>The recorded output, left and right of each frame.</summary>
    private (float[] Left, float[] Right) Played()
    {
        var samples = WavFile.ReadFloats(_folder.Inside("played.wav"));
        return ([.. samples.Where((_, i) => i % 2 == 0)], [.. samples.Where((_, i) => i % 2 == 1)]);
    }

    /// <summary>A dead right ear and a good left one: without a masker the left ear hears the tone across the head; interaural attenuation at 1 kHz 61 dB (Chaiklin 1967, mean, from memory).</summary>
    [Fact]
    public async Task AMaskerKeepsTheOtherEarFromAnswering()
    {
        await using var agent = await StartAsync("right,1000,120,\nleft,1000,0,\n");

        await CarryAsync(Tone(50, null), 1);
        await CarryAsync(Tone(70, null), 2);
        await CarryAsync(Tone(70, 20), 3);
        await CarryAsync(Tone(85, 20), 4);

        var trials = _hub.All<TrialDone>().Select(done => done.Trial).ToList();
        Assert.Equal([TrialVerdict.NotHeard, TrialVerdict.Heard, TrialVerdict.NotHeard, TrialVerdict.Heard], trials.Select(trial => trial.Verdict));
        Assert.Equal([null, null, 20.0, 20.0], trials.Select(trial => trial.MaskerDbEm));
        Assert.All(trials, trial => Assert.Equal(0, trial.EarlyResponses));
    }

    [Fact]
    public async Task TheMaskerIsOnFromHalfASecondBeforeTheToneUntilTheTimeForAnswersIsOver()
    {
        await using (await StartAsync("right,1000,30,\nleft,1000,30,\n"))
        {
            await CarryAsync(Tone(40, 45), 1);
        }

        var trial = Assert.Single(_hub.All<TrialDone>()).Trial;
        var (left, right) = Played();
        var onset = Array.FindIndex(right, sample => sample != 0);
        var tone = Array.FindLastIndex(right, sample => sample != 0) - onset;
        var (from, to) = (Array.FindIndex(left, sample => sample != 0), Array.FindLastIndex(left, sample => sample != 0));
        Assert.Equal(1000, AudioFormat.MillisecondsOf(tone), 1.0);
        Assert.InRange(AudioFormat.MillisecondsOf(onset - from), 500, 5000);
        Assert.InRange(AudioFormat.MillisecondsOf(to - onset - tone), TrialPlayer.ResponseUntilMs - 1, TrialPlayer.ResponseUntilMs + 1);
        Assert.Equal(TrialVerdict.Heard, trial.Verdict);
    }

    /// <summary>ISO 389-8 (5.5 dB at 1 kHz) and ISO 389-4 (6 dB for a third of an octave, from memory): 50 dB EM is 61.5 dB SPL in the coupler; the simulated left earphone gives 130 dB SPL at full scale.</summary>
    [Fact]
    public async Task TheMaskerHasItsLevelInTheSamplesPlayed()
    {
        await using (await StartAsync("right,1000,30,\nleft,1000,30,\n"))
        {
            await CarryAsync(Tone(40, 45), 1);
            await CarryAsync(Tone(40, 50) with { DurationMs = 8000 }, 2);
        }

        var (left, _) = Played();
        var from = left.Length - AudioFormat.FramesOf(7000 + TrialPlayer.ResponseUntilMs);
        var meanSquare = left.Skip((int)from).Take(AudioFormat.SampleRateHz * 6).Average(sample => (double)sample * sample);
        Assert.Equal(50 + 5.5 + 6, 130 + (10 * Math.Log10(2 * meanSquare)), 0.5);
    }

    [Fact]
    public async Task AMaskerThatMayNotBePlayedIsRefusedInWordsAndNothingSounds()
    {
        await using var agent = await StartAsync("right,1000,30,\nleft,1000,30,\n");

        var loud = await CarryAsync(Tone(40, 85), 1);
        var steep = await CarryAsync(Tone(40, 70), 2);

        Assert.Equal((StepEnding.Refused, RefusalCodes.NotConfirmedLoud), (loud.Ending, loud.Code));
        Assert.Contains("masker of 85 dB", loud.Reason, StringComparison.Ordinal);
        Assert.Equal((StepEnding.Refused, RefusalCodes.RiseTooSteep), (steep.Ending, steep.Code));
        Assert.Empty(_hub.All<TrialDone>());
    }

    [Fact]
    public async Task StopSilencesTheMaskerToo()
    {
        await using var agent = await StartAsync("right,1000,30,\nleft,1000,30,\n", Pace.Realtime);
        var engine = agent.Get<AudioEngine>();
        var sound = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        var silent = new TaskCompletionSource<long>(TaskCreationOptions.RunContinuationsAsynchronously);
        engine.SoundChanged += on => _ = on ? sound.TrySetResult() : silent.TrySetResult(engine.Frames);
        var order = _hub.Order(Tone(40, 45) with { DurationMs = 5000 });
        await _hub.CarryAsync(order);
        await sound.Task.WaitAsync(TimeSpan.FromSeconds(30), TimeProvider.System, TestContext.Current.CancellationToken);

        // the masker sounds, the tone not yet
        var pressedAt = engine.Frames;
        agent.Get<KitActions>().Stop();

        Assert.InRange(await silent.Task.WaitAsync(TimeSpan.FromSeconds(30), TimeProvider.System, TestContext.Current.CancellationToken) - pressedAt, 0, 3 * AudioFormat.BlockFrames);
        Assert.Equal(RefusalCodes.StopPressed, (await _hub.EndOfAsync(order.StepId)).Code);
    }

    [Fact]
    public async Task ACatchTrialKeepsTheMaskerAndIsSilentInTheTestEarAlone()
    {
        await using (var agent = await StartAsync("right,1000,30,\nleft,1000,30,\n"))
        {
            var order = _hub.Order(Tone(40, 45));
            using var step = new RunningStep(order, TestContext.Current.CancellationToken);
            var context = new StepContext(step, agent.Get<StepGear>());
            var frequency = AudiometricFrequency.FromHertz(1000);
            var trial = await new TrialPlayer(context, frequency, byHand: false).PlayAsync(
                new TrialPlan(Ear.Right, frequency, HearingLevel.FromDecibels(40), TrialKind.Catch, ToneShape.Steady, false, 1000) { MaskerDbEm = 45 });
            Assert.Equal((TrialVerdict.CorrectSilence, 45.0), (trial.Verdict, trial.MaskerDbEm));
        }

        var (left, right) = Played();
        Assert.DoesNotContain(right, sample => sample != 0);
        Assert.Contains(left, sample => sample != 0);
    }
}
