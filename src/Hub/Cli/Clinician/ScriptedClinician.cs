using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Cli.Clinician;

/// <summary>How a scripted walk ended.</summary>
/// <param name="Closed">The session reached Closed.</param>
/// <param name="Sentence">How it ended, in words.</param>
/// <param name="View">The last picture.</param>
internal sealed record WalkEnd(bool Closed, string Sentence, SessionView View);

/// <summary>Takes a session through every gate to its close by looking at what a console shows and asking what a clinician would.</summary>
internal sealed class ScriptedClinician(ConsoleLink link, TestPlan plan, WalkNarrator narrator, TimeProvider clock)
{
    /// <summary>How long nothing may change before the walk is given up. Longer than any step is silent at real-time pace (a room measurement of 10 s, a repeated kit check).</summary>
    private static readonly TimeSpan _patience = TimeSpan.FromSeconds(60);

    private const int MostRefusalsInARow = 20;

    private ClinicianMind? _mind;

    /// <summary>Walks until the session is over, nothing moves any more, or the hub keeps refusing.</summary>
    public Task<WalkEnd> Walk(CancellationToken cancellationToken) => WalkUntil(_ => false, cancellationToken);

    /// <summary>Walks likewise, but no further than the first picture that fits. Walking again goes on from there.</summary>
    public async Task<WalkEnd> WalkUntil(Func<SessionView, bool> enough, CancellationToken cancellationToken)
    {
        var mind = _mind ??= new ClinicianMind(plan, link.Who?.Id ?? throw new InvalidOperationException("Nobody is signed in."));
        var refusals = 0;
        while (true)
        {
            var view = link.View;
            narrator.Tell(view);
            if (enough(view))
            {
                return new WalkEnd(Closed: view.Stage == SessionStage.Closed, $"Went as far as {Stages.InWords(view.Stage)}.", view);
            }

            switch (mind.Decide(view))
            {
                case ClinicianIntent.Over over:
                    return new WalkEnd(over.Closed, over.Sentence, view);

                case ClinicianIntent.Wait wait:
                    if (await Changed(view.Version, cancellationToken) is false)
                    {
                        return new WalkEnd(Closed: false, $"Nothing has changed for {_patience.TotalSeconds:0} s at {Stages.InWords(view.Stage)} while waiting for {wait.For}.", link.View);
                    }

                    break;

                case ClinicianIntent.Do intent:
                    var receipt = await link.Ask(intent.Command, cancellationToken);
                    if (receipt.Refusal is { } refusal)
                    {
                        narrator.TellRefusal(refusal);
                        if (++refusals > MostRefusalsInARow)
                        {
                            return new WalkEnd(Closed: false, $"The hub keeps refusing: {refusal.Sentence}", link.View);
                        }

                        if (await Changed(view.Version, cancellationToken) is false)
                        {
                            return new WalkEnd(Closed: false, $"The hub refused and nothing has changed since: {refusal.Sentence}", link.View);
                        }

                        break;
                    }

                    refusals = 0;
                    await Changed(receipt.SessionVersion - 1, cancellationToken);
                    break;
            }
        }
    }

    private async Task<bool> Changed(long version, CancellationToken cancellationToken)
    {
        // A kit that falls silent or is heard again changes what may be asked, without an event.
        var online = link.View.Kit.Online;
        using var timeout = new CancellationTokenSource(_patience, clock);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(timeout.Token, cancellationToken);
        try
        {
            await link.Until(view => view.Version > version || view.Kit.Online != online || !view.Integrity.Valid, either.Token);
            return true;
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            return false;
        }
    }
}
