using System.Text.Json;
using Microsoft.AspNetCore.SignalR;
using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Clinician.Web.Lock;
using TeleHearing.Clinician.Web.Words;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>Carries what a person asks to the hub and brings the answer back. One press is one command id, also when it must be sent twice.</summary>
public sealed class CommandDesk(IConsoleLink link, SessionStore session, Account account, HubClock clock, TimeProvider time, ConfirmDesk confirm)
{
    /// <summary>How long a command is meant: the hub refuses it when it comes later.</summary>
    public static readonly TimeSpan CommandLife = TimeSpan.FromSeconds(5);

    private readonly List<Notice> _notices = [];

    /// <summary>What waits for its answer, by its words on the wire.</summary>
    private readonly Dictionary<string, Task<bool>> _inHand = [];
    private long _lastNotice;

    /// <summary>Refusals of the stage shown and faults, not put away yet, newest first.</summary>
    public IReadOnlyList<Notice> Notices => [.. _notices.Where(notice => notice.Again is not null || notice.Stage == Stage)];

    private SessionStage? Stage => session.View is { } view ? StageWords.Shown(view) : null;

    /// <summary>How many commands wait for their receipt.</summary>
    public int Waiting { get; private set; }

    /// <summary>A notice came or went, or the number waiting changed.</summary>
    public event Action? Changed;

    /// <summary>Asks. True when it was carried out; when not, a notice says why. A press of the same while the first waits for its answer, as a double click makes it, is the first one: it would stand in the record twice, or be refused because the first was carried out.</summary>
    /// <param name="what">What is asked, in words, for the notice.</param>
    /// <param name="command">The command.</param>
    public Task<bool> Ask(string what, SessionCommand command)
    {
        // Silence waits for nothing, not for another silence either.
        if (command is CutStep or Contracts.Hold)
        {
            return Send(what, command, CommandId.New());
        }

        var key = JsonSerializer.Serialize(command, Protocol.Json);
        if (_inHand.TryGetValue(key, out var first))
        {
            return first;
        }

        var asking = Once(what, command, key);
        if (!asking.IsCompleted)
        {
            _inHand[key] = asking;
        }

        return asking;
    }

    /// <summary>Whether the signed-in person may ask something now, and why not.</summary>
    public Move Move(string name) =>
        session.View?.MoveFor(name, account.Me?.Id) ?? new Move(name, false, "The session is not loaded yet.");

    /// <summary>Asks when the picture offers it, and says why not when it does not.</summary>
    public async Task<bool> Press(string move, string what, Func<SessionCommand> command)
    {
        if (Move(move) is { Allowed: false } refused)
        {
            Explain(what, refused.WhyNot ?? "This is not possible now.");
            return false;
        }

        return await Ask(what, command());
    }

    /// <summary>Cuts the step in hand.</summary>
    public Task<bool> Cut() => Press("cut-step", "Cut", () => new CutStep(session.View?.Step?.StepId ?? default));

    /// <summary>Silence now, and the session on hold.</summary>
    public Task<bool> Hold() => Press("hold", "Hold", () => new Hold(null));

    /// <summary>Says why something cannot be asked now.</summary>
    public void Explain(string what, string whyNot) => Tell(what, whyNot, null, null, hint: true);

    /// <summary>Puts a notice away.</summary>
    public void PutAway(Notice notice)
    {
        _notices.RemoveAll(kept => kept.Number == notice.Number);
        Changed?.Invoke();
    }

    /// <summary>Puts all notices away, when another session is opened.</summary>
    public void PutAllAway()
    {
        _notices.Clear();
        Changed?.Invoke();
    }

    private async Task<bool> Once(string what, SessionCommand command, string key)
    {
        try
        {
            return await Send(what, command, CommandId.New());
        }
        finally
        {
            _inHand.Remove(key);
        }
    }

    private async Task<bool> Send(string what, SessionCommand command, CommandId id)
    {
        if (session.View is not { } view)
        {
            Tell(what, "The session is not loaded yet, so nothing was sent.", "Wait until it shows, then press again.", null);
            return false;
        }

        CommandEnvelope Envelope() => new(Protocol.Version, id, view.SessionId, view.Control.Epoch, view.Version, clock.Now + CommandLife, command);
        Waiting++;
        Changed?.Invoke();
        try
        {
            var (receipt, sent) = await SendUntilAnswered(Envelope());
            if (receipt?.Refusal?.Code == RefusalCodes.ConfirmationNeeded && await confirm.Prove())
            {
                // The first one may have run out while the person looked for their passkey.
                (receipt, sent) = await SendUntilAnswered(Envelope());
            }

            if (receipt is null)
            {
                Tell(
                    what,
                    sent
                        ? "The link to the hub broke, so there is no answer. It may have been done: the screen shows it once the link is back."
                        : "The hub cannot be reached, so this was not sent.",
                    sent
                        ? "If it was not done, try again; it cannot happen twice."
                        : "Wait for the link, then try again. If sound must end now, ask anyone at the site to press Stop: it works without the hub.",
                    () => Send(what, command, id));
                return false;
            }

            if (receipt.Refusal is { } refusal)
            {
                if (refusal.Code == RefusalCodes.Expired)
                {
                    // The hub's clock may have been set forward since the last picture: without a new one every command would come too late.
                    await session.FetchAnew();
                }

                Tell(what, refusal.Sentence, refusal.Remedy, null);
                return false;
            }

            _notices.RemoveAll(notice => notice.Hint || notice.What == what || (notice.Again is null && notice.Stage != Stage));
            return true;
        }
        catch (HubException)
        {
            Tell(
                what,
                "The hub had a fault and gave no answer. It may have been done: look at the session before you go on.",
                "If it was not done, try again; it cannot happen twice.",
                () => Send(what, command, id));
            return false;
        }
        finally
        {
            Waiting--;
            Changed?.Invoke();
        }
    }

    // A link that comes back before the command runs out gets the same command once more: the hub carries one id out at most once.
    private async Task<(Receipt? Receipt, bool Sent)> SendUntilAnswered(CommandEnvelope envelope)
    {
        var sent = false;
        for (var attempt = 0; attempt < 2; attempt++)
        {
            if (!await Connected(envelope.ExpiresAt - clock.Now))
            {
                return (null, sent);
            }

            try
            {
                sent = true;
                return (await link.Ask(envelope, CancellationToken.None), sent);
            }
            catch (Exception fault) when (fault is not HubException && LinkFaults.Covers(fault))
            {
                // Not answered; whether it was carried out is unknown here.
            }
        }

        return (null, sent);
    }

    private async Task<bool> Connected(TimeSpan atMost)
    {
        if (link.Phase == LinkPhase.Connected)
        {
            return true;
        }

        if (atMost <= TimeSpan.Zero)
        {
            return false;
        }

        var connected = new TaskCompletionSource();
        void Look()
        {
            if (link.Phase == LinkPhase.Connected)
            {
                connected.TrySetResult();
            }
        }

        link.PhaseChanged += Look;
        try
        {
            Look();
            await connected.Task.WaitAsync(atMost, time);
            return true;
        }
        catch (TimeoutException)
        {
            return false;
        }
        finally
        {
            link.PhaseChanged -= Look;
        }
    }

    private void Tell(string what, string sentence, string? remedy, Func<Task>? again, bool hint = false)
    {
        var same = _notices.Find(kept => kept.What == what && kept.Sentence == sentence);
        if (same is not null)
        {
            _notices.Remove(same);
        }

        _notices.Insert(0, new Notice(++_lastNotice, what, sentence, remedy, (same?.Times ?? 0) + 1, hint, Stage, again));
        Changed?.Invoke();
    }
}
