namespace TeleHearing.Site.Agent.Audio;

/// <summary>Runs the audio loop for as long as the program runs, on a thread of its own: a real device holds the loop up while it has no room.</summary>
internal sealed class AudioService(AudioEngine engine) : BackgroundService
{
    protected override Task ExecuteAsync(CancellationToken stoppingToken) => Task.Factory.StartNew(
        () => engine.RunAsync(stoppingToken).GetAwaiter().GetResult(),
        CancellationToken.None,
        TaskCreationOptions.LongRunning,
        TaskScheduler.Default);
}
