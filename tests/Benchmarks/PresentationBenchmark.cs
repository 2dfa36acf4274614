using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;

namespace TeleHearing.Benchmarks;

/// <summary>One presentation by hand: from the console's command to the first sample the kit hands to its sound output, beside a bare relay in the same run.</summary>
/// <remarks>
/// Hub and site agent are processes of their own on loopback, at real-time pace. The first sample is placed by the recording of the kit's output, whose time
/// stamps are of the same monotonic clock. Part of the time is the wait for the next audio block of 10 ms.
/// </remarks>
internal static class PresentationBenchmark
{
    private const int RelayRounds = 2000;
    private const int Presentations = 60;
    private const string Listener = "ear,frequency_hz,air_db_hl,bone_db_hl\nright,1000,20,\nleft,1000,20,\n";

    public static async Task Run(CancellationToken cancellationToken)
    {
        var relay = await BareRelay.Measure(RelayRounds, cancellationToken);
        var (started, answered) = await Present(cancellationToken);

        Print("bare relay, sender to receiver", relay, relay);
        Print("command to durable receipt", answered, relay);
        Print("command to first sample on the kit", started, relay);
    }

    private static async Task<(Spread Started, Spread Answered)> Present(CancellationToken cancellationToken)
    {
        await using var hub = await HubRig.Start(cancellationToken);
        await using var agent = new AgentRig(hub.Address, Listener);
        await agent.Provision("valid", cancellationToken);
        await agent.Start("realtime", hub.EnrolmentCode, cancellationToken);
        await using var console = await hub.SignIn(cancellationToken);
        var plan = new TestPlan([new EarPlan(Ear.Right, [1000]), new EarPlan(Ear.Left, [1000])], StoppingRule.TwoOfThree, ToneShape.Steady);
        await new ScriptedClinician(console, plan, new WalkNarrator(TextWriter.Null, TimeProvider.System), TimeProvider.System)
            .WalkUntil(view => view.Stage == SessionStage.Testing, cancellationToken);

        var asked = new List<long>();
        var answered = new List<double>();
        for (var round = 0; round < Presentations; round++)
        {
            var start = TimeProvider.System.GetTimestamp();
            var receipt = await console.Ask(new OrderStep(new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 200), LoudConfirmed: false), cancellationToken);
            answered.Add(TimeProvider.System.GetElapsedTime(start).TotalMilliseconds);
            asked.Add(start);
            if (receipt.Refusal is { } refusal)
            {
                throw new InvalidOperationException($"A presentation was refused: {refusal.Sentence}");
            }

            await console.Until(view => view.Step is { Ending: not null } step && step.StepId == receipt.StepId, cancellationToken);
        }

        var sound = PlayedSound.Read(agent.Recording, TimeProvider.System);
        var started = asked.Select(stamp => TimeProvider.System.GetElapsedTime(stamp, sound.FirstSoundAfter(stamp)
            ?? throw new InvalidOperationException("A presentation made no sound.")).TotalMilliseconds);
        return (new Spread(started), new Spread(answered));
    }

    private static void Print(string what, Spread spread, Spread baseline) => Console.WriteLine(string.Create(
        CultureInfo.InvariantCulture,
        $"{what,-36} n {spread.Count,5}   p50 {spread.P50,8:0.000} ms   p99 {spread.P99,8:0.000} ms   ratio of p50 {spread.P50 / baseline.P50,6:0.0}   of p99 {spread.P99 / baseline.P99,6:0.0}"));
}
