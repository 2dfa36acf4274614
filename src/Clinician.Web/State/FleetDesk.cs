using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Clinician.Web.Lock;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>Carries what a person records about the fleet to the hub and brings the answer back to the form it came from.</summary>
public sealed class FleetDesk(IConsoleLink link, HubClock clock, ConfirmDesk confirm)
{
    /// <summary>Records something.</summary>
    /// <param name="done">What to say when it is recorded.</param>
    /// <param name="command">The command.</param>
    public Task<KitAnswer> Ask(string done, FleetCommand command)
    {
        var id = CommandId.New();
        return KitDesk.UntilAnswered(link, confirm, done, () => link.AskFleet(new FleetCommandEnvelope(Protocol.Version, id, clock.Now + KitDesk.CommandLife, command), CancellationToken.None));
    }

    /// <summary>What a loan would come to and which kits would do. A broken link is said in the same words as a refusal.</summary>
    public async Task<LoanChoiceReply> Consider(RequestLoan loan)
    {
        try
        {
            return await link.ConsiderLoan(loan, CancellationToken.None);
        }
        catch (Exception fault) when (LinkFaults.Covers(fault))
        {
            return new LoanChoiceReply(null, [], [], new Refusal(RefusalCodes.StorageFault, "The hub cannot be reached just now.", "Nothing was recorded. Try again once the link is back."));
        }
    }
}
