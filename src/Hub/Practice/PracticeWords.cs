using TeleHearing.Contracts;

namespace TeleHearing.Hub.Practice;

/// <summary>Facts of the practice as lines of the clinic's history. Whom they are about stands on the page of the practice alone.</summary>
internal static class PracticeWords
{
    public static string Of(IPracticeFact fact) => fact switch
    {
        TierWasSet set => $"{set.By.Name} set an assistant's tier to {AssistantTasks.Words(set.Tier)}.",
        SignOffGiven given => $"{given.By.Name} recorded a sign-off to {AssistantTasks.Words(given.Task)} until {SignOffs.Day(given.Until)}.",
        SignOffWithdrawn gone => $"{gone.By.Name} withdrew a sign-off: {gone.Reason}",
        RegistrationKept kept => $"{kept.By.Name} entered a registration for {kept.Jurisdiction} until {SignOffs.Day(kept.ValidUntil)}.",
        RegistrationEnded ended => $"{ended.By.Name} ended a registration: {ended.Reason}",
        _ => "Something this version cannot read.",
    };
}
