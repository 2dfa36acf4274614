using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Audio.Verification;
using TeleHearing.Sound.Tests.Support;

namespace TeleHearing.Sound.Tests;

/// <summary>A verification on a machine that is held up.</summary>
public sealed class VerifyRunTests
{
    [Fact]
    public async Task AGapInTheSilenceBetweenTwoSoundsDoesNotMoveTheReadings()
    {
        await using var server = await SoundServer.StartAsync();
        var output = server.Open(latencyMs: 200);
        var held = new HeldOutput(output);
        var gaps = new GapCounter(held);
        await using var running = new RunningEngine(gaps);
        using var recorder = LoopRecorder.Open("pulse:kit", null, server.Settings());
        await using var progress = new LineHook(async line =>
        {
            if (line.Contains("2 of", StringComparison.Ordinal))
            {
                // nothing is in hand just now
                var before = gaps.Gaps;
                held.Hold();
                await Wait.UntilAsync(() => output.Underruns > before);
                held.LetGo();
                await Wait.UntilAsync(() => gaps.Gaps > before);
            }
        });
        var items = VerifyPlan.Make(null, quick: true).Where(item => item.Topic == VerifyTopic.Tone).ToList();

        var readings = await new VerifyRun(running.Engine, gaps, recorder, progress).RunAsync(items, TimeProvider.System, TestContext.Current.CancellationToken);

        Assert.Contains(progress.Lines, line => line.Contains("repeated", StringComparison.Ordinal));
        Assert.Equal(items.Count, readings.Count(reading => reading.Quantity == Quantity.LevelDb));
        Assert.All(new Judge(absolute: true, null).Findings(readings), finding => Assert.NotEqual(Verdict.NotKept, finding.Verdict));
    }

    /// <summary>Does something at each line that is written, before the writer goes on.</summary>
    private sealed class LineHook(Func<string, Task> atLine) : StringWriter
    {
        public List<string> Lines { get; } = [];

        public override async Task WriteLineAsync(string? value)
        {
            Lines.Add(value ?? string.Empty);
            await atLine(value ?? string.Empty);
        }
    }
}
