using TeleHearing.Contracts;

namespace TeleHearing.Hub.Practice;

/// <summary>Refusals about sign-offs and registrations.</summary>
internal static class PracticeRefusals
{
    public static Refusal NoAssistant { get; } = new(RefusalCodes.PersonUnknown, "There is no assistant with this account.", "Choose one of the list.");

    public static Refusal NoClinician { get; } = new(RefusalCodes.PersonUnknown, "There is no clinician with this account.", "Choose one of the list.");

    public static Refusal NoVerifier { get; } = new(RefusalCodes.PersonUnknown, "Who verifies must be a clinician or the owner.", "Choose one of the list.");

    public static Refusal Oneself { get; } = new(RefusalCodes.Invalid, "Nobody signs off their own work.", "Have another clinician or the owner watch, and somebody else record it.");

    public static Refusal UnknownSignOff { get; } = new(RefusalCodes.Invalid, "There is no such sign-off, or it is withdrawn already.", "Look at the page as it is now.");

    public static Refusal UnknownRegistration { get; } = new(RefusalCodes.Invalid, "There is no such registration, or it is ended already.", "Look at the page as it is now.");
}
