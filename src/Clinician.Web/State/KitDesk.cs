using Microsoft.AspNetCore.SignalR;
using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Clinician.Web.Lock;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>What came of recording something about a kit.</summary>
/// <param name="Done">It is recorded.</param>
/// <param name="Sentence">What happened.</param>
/// <param name="Remedy">What to do next, when it is not recorded.</param>
public sealed record KitAnswer(bool Done, string Sentence, string? Remedy)
{
    /// <summary>Number of facts with what was recorded; 0 when nothing was.</summary>
    public long Version { get; init; }
}

/// <summary>Carries what a person records about a kit to the hub and brings the answer back to the form it came from. One press is one command id, also when it must be sent twice.</summary>
public sealed class KitDesk(IConsoleLink link, HubClock clock, ConfirmDesk confirm)
{
    /// <summary>How long a command is meant: forms about kits may wait for a slow link longer than a tone may.</summary>
    public static readonly TimeSpan CommandLife = TimeSpan.FromSeconds(30);

    private const int Tries = 3;

    /// <summary>Records something.</summary>
    /// <param name="kitId">Kit.</param>
    /// <param name="done">What to say when it is recorded.</param>
    /// <param name="command">The command.</param>
    public async Task<KitAnswer> Ask(KitId kitId, string done, KitCommand command)
    {
        var id = CommandId.New();
        return await UntilAnswered(link, confirm, done, () => link.AskKit(new KitCommandEnvelope(Protocol.Version, id, kitId, clock.Now + CommandLife, command), CancellationToken.None));
    }

    /// <summary>Sends until there is an answer. What is sent carries one command id, so that it is recorded at most once.</summary>
    internal static async Task<KitAnswer> UntilAnswered(IConsoleLink link, ConfirmDesk confirm, string done, Func<Task<Receipt>> send)
    {
        for (var attempt = 0; attempt < Tries && link.Phase == LinkPhase.Connected; attempt++)
        {
            try
            {
                var receipt = await send();
                if (receipt.Refusal?.Code == RefusalCodes.ConfirmationNeeded && await confirm.Prove())
                {
                    receipt = await send();
                }

                return receipt.Refusal is { } refusal ? new KitAnswer(false, refusal.Sentence, refusal.Remedy) : new KitAnswer(true, done, null) { Version = receipt.SessionVersion };
            }
            catch (HubException)
            {
                return new KitAnswer(false, "The hub had a fault and gave no answer.", "Look at the history below before you try again.");
            }
            catch (Exception fault) when (LinkFaults.Covers(fault))
            {
                // Not answered; the same id again is recorded at most once.
            }
        }

        return new KitAnswer(false, "The hub cannot be reached, so it is not known whether this was recorded.", "What you filled in is still here. Once the link is back the history below shows it; if it is not there, try again.");
    }
}
