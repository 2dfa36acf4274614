namespace TeleHearing.Site.Agent.Audio;

/// <summary>Runs the audio loop for as long as the program runs.</summary>
internal sealed class AudioService(AudioEngine engine) : BackgroundService
{
    protected override Task ExecuteAsync(CancellationToken stoppingToken) => engine.RunAsync(stoppingToken);
}
