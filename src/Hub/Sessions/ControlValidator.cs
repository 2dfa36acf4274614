using TeleHearing.Contracts;

namespace TeleHearing.Hub.Sessions;

/// <summary>Checks the content of commands about control.</summary>
internal static class ControlValidator
{
    public static void Check(SessionCommand command, Faults faults)
    {
        switch (command)
        {
            case RequestControl ask:
                faults.Line(ask.Why, "why you ask");
                break;
            case GrantControl grant:
                faults.Line(grant.ToPersonId, "the person");
                break;
            case DeclineControl decline:
                faults.Line(decline.ToPersonId, "the person");
                faults.OptionalText(decline.Why, "the reason");
                break;
            case TakeOverControl over:
                faults.Line(over.Reason, "the reason");
                break;
            case OfferControl offer:
                faults.Line(offer.ToPersonId, "the person");
                faults.Line(offer.Why, "why you offer it");
                break;
            case EndOffer end:
                faults.OptionalText(end.Why, "the reason");
                break;
            case LendControl lend:
                faults.Line(lend.ToPersonId, "the person");
                faults.Need(lend.Tasks is { Count: > 0 }, "No task is named.");
                foreach (var task in lend.Tasks ?? [])
                {
                    faults.Need(AssistantTasks.Lendable.Contains(task), "Control cannot be lent for that task.");
                }

                faults.Need(
                    lend.Tasks?.Contains(AssistantTask.SideProof) == true ? lend.SideProofDbHl is >= 0 and <= LendControl.HighestSideProofDbHl : lend.SideProofDbHl is null,
                    $"A side proof is lent with its level, 0 to {LendControl.HighestSideProofDbHl} dB HL, and nothing else is lent with one.");

                faults.Need(lend.Minutes is >= 1 and <= LendControl.LongestMinutes, $"Control can be lent for 1 to {LendControl.LongestMinutes} minutes.");
                break;
            case AcknowledgeHandoff acknowledge:
                faults.OptionalText(acknowledge.How, "how it was acknowledged");
                break;
        }
    }
}
