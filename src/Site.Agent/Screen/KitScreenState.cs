using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Screen;

/// <summary>How the kit stands with its hub, as the screen tells it.</summary>
internal enum LinkState
{
    /// <summary>Not yet linked since the program started.</summary>
    Starting,
    Linked,

    /// <summary>Was linked and is trying again.</summary>
    Away,

    /// <summary>The hub answered and will not serve this kit; the sentence says why.</summary>
    Refused,
}

/// <summary>What the kit screen shows: the hub's last scene, the link, and a fault of the kit if there is one. One per program, so that every reload shows the same.</summary>
/// <remarks>Thread-safe; <see cref="Changed"/> is raised outside the lock.</remarks>
internal sealed class KitScreenState
{
    private readonly Lock _lock = new();
    private Picture _picture = new(LinkState.Starting, null, null, null, false);

    /// <summary>Something changed.</summary>
    public event Action? Changed;

    /// <summary>Everything as of now.</summary>
    public Picture Now
    {
        get
        {
            lock (_lock)
            {
                return _picture;
            }
        }
    }

    public void SetLink(LinkState link, string? sentence = null) => Change(picture => picture with { Link = link, LinkSentence = sentence });

    public void SetFault(string? sentence) => Change(picture => picture with { Fault = sentence });

    /// <summary>Help was called; shown until the clinician's message or the stage changes.</summary>
    public void SetHelpCalled() => Change(picture => picture with { HelpCalled = true });

    /// <summary>The question shown is answered: it goes until the hub asks another. False when it is not shown or was answered already.</summary>
    public bool TryAnswer(ConsentQuestion question)
    {
        lock (_lock)
        {
            if (_picture.Scene?.Question != question || _picture.Answered == question)
            {
                return false;
            }

            _picture = _picture with { Answered = question };
        }

        Changed?.Invoke();
        return true;
    }

    public void SetScene(KitScene scene) => Change(picture => picture with
    {
        Scene = scene,
        Answered = scene.Question is not null && picture.Answered == scene.Question ? picture.Answered : null,
        HelpCalled = picture.HelpCalled && picture.Scene?.Stage == scene.Stage && picture.Scene?.Message == scene.Message && picture.Scene?.SessionId == scene.SessionId,
    });

    private void Change(Func<Picture, Picture> change)
    {
        lock (_lock)
        {
            var changed = change(_picture);
            if (changed == _picture)
            {
                return;
            }

            _picture = changed;
        }

        Changed?.Invoke();
    }

    /// <param name="Link">The link.</param>
    /// <param name="LinkSentence">Why the hub refuses this kit.</param>
    /// <param name="Scene">The hub's last scene.</param>
    /// <param name="Fault">A fault of the kit, as a sentence.</param>
    /// <param name="HelpCalled">Help was called and not answered yet.</param>
    /// <param name="Answered">The question of consent that was answered here and that the hub still asks.</param>
    internal sealed record Picture(LinkState Link, string? LinkSentence, KitScene? Scene, string? Fault, bool HelpCalled, ConsentQuestion? Answered = null);
}
