using TeleHearing.Audiology;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Ceilings;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Steps;

namespace TeleHearing.Site.Agent.Screen;

/// <summary>What a person at the kit screen can do.</summary>
internal sealed class KitActions(KitScreenState screen, FactWriter facts, StopSwitch stop, AudioEngine engine, SideAnswers sides, GearChange change)
{
    /// <summary>Stop: silence at once, whether or not there is a link.</summary>
    public void Stop() => stop.Press(screen.Now.Scene?.SessionId);

    /// <summary>"I no longer agree": silence at once and nothing more of the session, whether or not there is a link.</summary>
    public void TakeConsentBack() => stop.TakeConsentBack(screen.Now.Scene?.SessionId);

    /// <summary>The question of consent on the screen is answered.</summary>
    public void Answer(ConsentQuestion question, bool given)
    {
        if (screen.Now.Scene?.SessionId is { } sessionId && screen.TryAnswer(question))
        {
            facts.WriteOrOwe(sessionId, new ConsentAnsweredHere(question.Text.Purpose, question.Text.Language, question.Text.Version, given));
        }
    }

    /// <summary>The card in hand is done: the change of gear that was asked for, or the card of the stage.</summary>
    public void MarkDone()
    {
        if (change.Confirm())
        {
            return;
        }

        if (screen.Now.Scene is { SessionId: { } sessionId, AssistantDone: false } scene)
        {
            facts.WriteOrOwe(sessionId, new AssistantDone(scene.Stage));
        }
    }

    /// <summary>Ask the clinician for help.</summary>
    public void CallForHelp()
    {
        if (screen.Now is { HelpCalled: false, Scene.SessionId: { } sessionId })
        {
            facts.WriteOrOwe(sessionId, new HelpCalled());
            screen.SetHelpCalled();
        }
    }

    /// <summary>The response pad went down.</summary>
    public void PadDown() => engine.Button.Down();

    /// <summary>The response pad came up.</summary>
    public void PadUp() => engine.Button.Up();

    /// <summary>The person names the side a sound came from.</summary>
    public void NameSide(Ear? side) => sides.Answer(side);
}
