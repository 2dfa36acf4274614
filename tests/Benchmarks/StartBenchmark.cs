using System.Globalization;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Link;
using TeleHearing.Site.Agent.Steps;
using TeleHearing.Testing;

namespace TeleHearing.Benchmarks;

/// <summary>Start of a presentation on the kit: from the command in the kit's hands to the first sample handed to the sound output.</summary>
/// <remarks>
/// The whole agent in this process, at real-time pace, without a hub: the order is put where the link puts it, so that gate, ledger, journal (durable before anything sounds),
/// ceilings and the audio loop are all in the way. A tone by hand has no silence before it. The baseline in the same run hands
/// a tone straight to an audio loop of its own: what remains then is the wait for the next block of 10 ms.
/// </remarks>
internal static class StartBenchmark
{
    private const int Rounds = 60;

    /// <summary>Longest wait for anything, far beyond what it takes.</summary>
    private static readonly TimeSpan _longest = TimeSpan.FromSeconds(20);

    /// <summary>Length of the journal's key, which a hub would give.</summary>
    private const int JournalKeyBytes = 32;

    public static async Task Run(CancellationToken cancellationToken)
    {
        var baseline = await Bare(cancellationToken);
        var started = await Ordered(cancellationToken);
        Print("tone straight to the audio loop", baseline, baseline);
        Print("command on the kit to first sample", started, baseline);
    }

    private static async Task<Spread> Bare(CancellationToken cancellationToken)
    {
        await using var output = new StampedOutput(Card());
        using var engine = new AudioEngine(output, null, null, Pace.Realtime, () => true, null, NullLogger<AudioEngine>.Instance);
        using var ending = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        var loop = Task.Run(() => engine.RunAsync(ending.Token), cancellationToken);
        var tone = new ToneSynthesizer(new ToneSpec(1000, 0.1, ToneShape.Steady, 200, AudioFormat.SampleRateHz));
        var random = new Random(1);
        var times = new List<double>();
        for (var round = 0; round < Rounds; round++)
        {
            await Task.Delay(TimeSpan.FromMilliseconds(20 + (10 * random.NextDouble())), TimeProvider.System, cancellationToken);
            var first = output.Watch();
            var began = TimeProvider.System.GetTimestamp();
            await engine.PresentAsync(new Presentation { LeadFrames = 0, BodyFrames = tone.TotalFrames, TailFrames = 0, Tone = tone, Ear = Ear.Left, NeedsLease = true }, cancellationToken);
            times.Add(TimeProvider.System.GetElapsedTime(began, await first).TotalMilliseconds);
        }

        await ending.CancelAsync();
        await loop;
        return new Spread(times);
    }

    private static async Task<Spread> Ordered(CancellationToken cancellationToken)
    {
        using var folder = new TempFolder();
        Provisioner.Write(folder.Path, CertificateChoice.Valid, TimeProvider.System);
        var output = new StampedOutput(Card());
        var options = new RunOptions(new Uri("http://127.0.0.1:1/"), folder.Path, null, null, Simulation.DemoName, 1, Simulation.QuietName, Pace.Realtime, false, null);
        var builder = Host.CreateApplicationBuilder(new HostApplicationBuilderSettings { DisableDefaults = true });
        builder.Logging.ClearProviders();
        builder.Services.AddAgent(options);
        builder.Services.AddSingleton(new KitSound(output, null, null));

        // there is no hub: its link is left out, and the benchmark stands in its place
        builder.Services.Remove(builder.Services.Single(service => service.ServiceType == typeof(IHostedService) && service.ImplementationType == typeof(HubLink)));
        using var host = builder.Build();
        await host.StartAsync(cancellationToken);
        var (orders, lease) = (host.Services.GetRequiredService<OrderQueue>(), host.Services.GetRequiredService<LeaseClock>());
        host.Services.GetRequiredService<KitJournal>().Unlock(new byte[JournalKeyBytes]);
        var times = new List<double>();
        await using var renewing = new Renewing(lease);
        var session = SessionId.New();
        for (var round = 0; round < Rounds; round++)
        {
            // an order without a lease would be refused, and measure nothing
            await Eventually.Holds(() => lease.IsValid, "the lease", _longest, cancellationToken);

            var first = output.Watch();
            var began = TimeProvider.System.GetTimestamp();
            orders.Add(new StepOrder(session, StepId.New(), round + 1, 1, long.MaxValue / 2, 100, round, [], new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 200)) { Covered = ConsentPurposes.Needed });
            times.Add(TimeProvider.System.GetElapsedTime(began, await first.WaitAsync(_longest, TimeProvider.System, cancellationToken)).TotalMilliseconds);
            await Eventually.Holds(() => !orders.IsBusy, "the end of the step", _longest, cancellationToken);
        }

        await host.StopAsync(cancellationToken);
        return new Spread(times);
    }

    private static SimulatedSoundCard Card() => new(null, Simulation.Room(Simulation.QuietName, 1), Pace.Realtime, TimeProvider.System);

    private static void Print(string what, Spread spread, Spread baseline) => Console.WriteLine(string.Create(
        CultureInfo.InvariantCulture,
        $"{what,-36} n {spread.Count,5}   p50 {spread.P50,8:0.000} ms   p99 {spread.P99,8:0.000} ms   ratio of p50 {spread.P50 / baseline.P50,6:0.0}   of p99 {spread.P99 / baseline.P99,6:0.0}"));

    /// <summary>Notes when the first block with sound in it is handed over, less what of the block lies before the sound.</summary>
    private sealed class StampedOutput(IAudioOutput output) : IAudioOutput
    {
        private TaskCompletionSource<long>? _first;

        public string DeviceName => output.DeviceName;

        public int SampleRateHz => output.SampleRateHz;

        public Task<long> Watch()
        {
            var first = new TaskCompletionSource<long>(TaskCreationOptions.RunContinuationsAsynchronously);
            Volatile.Write(ref _first, first);
            return first.Task;
        }

        public ValueTask WriteAsync(ReadOnlyMemory<float> stereo, CancellationToken cancellationToken)
        {
            if (Volatile.Read(ref _first) is { Task.IsCompleted: false } first && stereo.Span.ContainsAnyExcept(0f))
            {
                first.TrySetResult(TimeProvider.System.GetTimestamp());
            }

            return output.WriteAsync(stereo, cancellationToken);
        }

        public ValueTask DisposeAsync() => output.DisposeAsync();
    }

    /// <summary>Renews the kit's lease five times a second, as a hub does.</summary>
    private sealed class Renewing : IAsyncDisposable
    {
        private readonly Guid _run = Guid.NewGuid();
        private readonly long _started = TimeProvider.System.GetTimestamp();
        private readonly ITimer _timer;
        private long _number;

        public Renewing(LeaseClock lease) => _timer = TimeProvider.System.CreateTimer(
            _ => lease.TakeAnswer(new LeaseGrant(Interlocked.Increment(ref _number), _run, (long)TimeProvider.System.GetElapsedTime(_started).TotalMilliseconds, Protocol.LeaseLengthMs), lease.KitNowMs),
            null,
            TimeSpan.Zero,
            TimeSpan.FromMilliseconds(200));

        public ValueTask DisposeAsync() => _timer.DisposeAsync();
    }
}
