using System.Threading.Channels;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Screen;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Plays the assistant at the kit screen, for rehearsals and tests: marks each card done as its stage arrives.</summary>
internal sealed class ScriptedAssistant(KitScreenState screen, KitActions actions, GearChange change) : BackgroundService
{
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        var wake = Channel.CreateBounded<bool>(new BoundedChannelOptions(1) { FullMode = BoundedChannelFullMode.DropWrite });
        void Wake() => wake.Writer.TryWrite(true);
        screen.Changed += Wake;
        change.Asked += actions.MarkDone;
        try
        {
            SessionStage? marked = null;
            Wake();
            await foreach (var _ in wake.Reader.ReadAllAsync(stoppingToken))
            {
                if (screen.Now is { Link: LinkState.Linked, Scene: { SessionId: not null } scene } && marked != scene.Stage)
                {
                    marked = scene.Stage;
                    if (!scene.AssistantDone && CoachCards.For(scene.Stage).CanBeDone)
                    {
                        actions.MarkDone();
                    }
                }
            }
        }
        finally
        {
            screen.Changed -= Wake;
            change.Asked -= actions.MarkDone;
        }
    }
}
