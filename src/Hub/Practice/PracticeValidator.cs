using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Practice;

/// <summary>Checks the content of commands about the practice. Says everything that is wrong at once.</summary>
internal static class PracticeValidator
{
    /// <summary>Longest number and longest title of a registration, characters (design): what fits on a card.</summary>
    public const int LongestName = 60;

    /// <summary>Longest reason and note, characters (design).</summary>
    public const int LongestReason = 300;

    public static void Check(FleetCommand command, Faults faults)
    {
        switch (command)
        {
            case SetTier set:
                Person(set.PersonId, faults);
                faults.Known(set.Tier, "tier");
                Reason(set.Reason, "what the tier rests on", faults);
                break;
            case GiveSignOff give:
                Person(give.PersonId, faults);
                Person(give.VerifiedById, faults);
                faults.Need(give.SignOffId != Guid.Empty, "The sign-off has no number.");
                faults.Known(give.Task, "task");
                faults.Known(give.How, "way of verifying");
                faults.Need(!Enum.IsDefined(give.Task) || AssistantTasks.TierFor(give.Task) > AssistantTier.Helper, "This task needs no sign-off: every helper may do it.");
                faults.Need((give.Note?.Length ?? 0) <= LongestReason, $"The note is longer than {LongestReason} characters.");
                break;
            case WithdrawSignOff withdraw:
                Reason(withdraw.Reason, "the reason", faults);
                break;
            case KeepRegistration keep:
                Person(keep.PersonId, faults);
                faults.Need(keep.RegistrationId != Guid.Empty, "The registration has no id.");
                Short(keep.Number, "the number", faults);
                faults.Need(string.IsNullOrWhiteSpace(keep.Number) || keep.Number.Any(char.IsAsciiDigit), "The number of a registration has at least one digit.");
                Short(keep.Title, "the title", faults);
                faults.Need(Jurisdictions.Fault(keep.Jurisdiction) is null, Jurisdictions.Fault(keep.Jurisdiction) ?? string.Empty);
                break;
            case EndRegistration end:
                Person(end.PersonId, faults);
                Reason(end.Reason, "the reason", faults);
                break;
        }
    }

    private static void Person(string? personId, Faults faults) => faults.Need(personId is { Length: > 0 and <= 100 }, "A person is missing.");

    private static void Short(string? text, string what, Faults faults)
    {
        faults.Need(!string.IsNullOrWhiteSpace(text), $"{char.ToUpperInvariant(what[0])}{what[1..]} of the registration is missing.");
        faults.Need((text?.Length ?? 0) <= LongestName, $"{char.ToUpperInvariant(what[0])}{what[1..]} of the registration is longer than {LongestName} characters.");
    }

    private static void Reason(string? text, string what, Faults faults)
    {
        faults.Need(!string.IsNullOrWhiteSpace(text), $"{char.ToUpperInvariant(what[0])}{what[1..]} is missing.");
        faults.Need((text?.Length ?? 0) <= LongestReason, $"{char.ToUpperInvariant(what[0])}{what[1..]} is longer than {LongestReason} characters.");
    }
}
