using Microsoft.Extensions.Logging.Abstractions;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Sound.Tests.Support;

/// <summary>The kit's audio loop over a real output, on a thread of its own.</summary>
internal sealed class RunningEngine : IAsyncDisposable
{
    private readonly CancellationTokenSource _ending = new();
    private readonly Task _loop;

    public RunningEngine(IAudioOutput output, IAudioInput? input = null)
    {
        Engine = new AudioEngine(output, input, null, Pace.Realtime, () => true, null, NullLogger<AudioEngine>.Instance);
        _loop = Task.Factory.StartNew(() => Engine.RunAsync(_ending.Token).GetAwaiter().GetResult(), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
    }

    public AudioEngine Engine { get; }

    public Task<PresentationResult> PresentAsync(Presentation presentation) => Engine.PresentAsync(presentation, TestContext.Current.CancellationToken);

    public async ValueTask DisposeAsync()
    {
        await _ending.CancelAsync();
        await _loop;
        Engine.Dispose();
        _ending.Dispose();
    }
}
