using TeleHearing.Contracts;

namespace TeleHearing.Hub.Sessions.Start;

/// <summary>Checks the content of a start card. Says everything that is wrong at once.</summary>
internal static class CardValidator
{
    /// <summary>Fewest digits of an emergency number: there are such with two (ITU-T E.161.1 recommends 112 and 911; two from memory).</summary>
    private const int FewestEmergencyDigits = 2;

    /// <summary>Fewest digits of a number to call back (design).</summary>
    private const int FewestCallBackDigits = 5;

    public static void Check(StartCard? card, Faults faults)
    {
        if (card is null)
        {
            faults.Need(false, "The start card is missing.");
            return;
        }

        Identifiers(card, faults);
        Line(card.AddressNow, "The address now", StartCard.LongestLine, faults);
        faults.Need(Jurisdictions.Fault(card.Jurisdiction) is null, Jurisdictions.Fault(card.Jurisdiction) ?? string.Empty);
        Line(card.CallBackNumber, "The call-back number", StartCard.LongestShort, faults);
        faults.Need(string.IsNullOrWhiteSpace(card.CallBackNumber) || StartCard.CanBeNumber(card.CallBackNumber, FewestCallBackDigits), $"The call-back number cannot be one: it has {FewestCallBackDigits} to {StartCard.MostDigits} digits, with blanks, brackets, hyphens or a plus before them.");
        Line(card.EmergencyNumber, "The emergency number", StartCard.LongestShort, faults);
        faults.Need(string.IsNullOrWhiteSpace(card.EmergencyNumber) || StartCard.CanBeNumber(card.EmergencyNumber, FewestEmergencyDigits), $"The emergency number cannot be one: it has {FewestEmergencyDigits} to {StartCard.MostDigits} digits.");
        Line(card.EmergencyContact, "The emergency contact", StartCard.LongestShort, faults);
        Line(card.PeopleAtSite, "Who is with the person", StartCard.LongestLine, faults);
        Line(card.PeopleWithClinician, "Who is in your own room", StartCard.LongestLine, faults);
        faults.Need(card.PeopleAgreed, "Ask whether everybody agrees to who is present in both rooms.");
        faults.Need(card.Introduced, "Say your own name and registration first.");
        faults.Need((card.RegistrationReason?.Length ?? 0) <= StartCard.LongestReason, $"The reason is longer than {StartCard.LongestReason} characters.");
        if (card.WhoItIs is { } who)
        {
            Line(who.Reference, "The reference of the person", StartCard.LongestShort, faults);
            Line(who.Why, "How you know which person it is", StartCard.LongestReason, faults);
        }
    }

    private static void Identifiers(StartCard card, Faults faults)
    {
        if (card.Identifiers is not { Count: 2 } || card.Identifiers.Any(said => said is null))
        {
            faults.Need(false, "Two identifiers are needed.");
            return;
        }

        foreach (var said in card.Identifiers)
        {
            faults.Known(said.Kind, "kind of identifier");
            Line(said.Said, "What the person said", StartCard.LongestShort, faults);
            faults.Need(said.Kind != IdentifierKind.BirthDate || string.IsNullOrWhiteSpace(said.Said) || StartCards.BirthDateOf(said) is not null, "The date of birth is no day.");
        }

        faults.Need(card.Identifiers[0].Kind != card.Identifiers[1].Kind, "The two identifiers must be of different kinds.");
    }

    private static void Line(string? text, string what, int longest, Faults faults)
    {
        faults.Need(!string.IsNullOrWhiteSpace(text), $"{what} is missing.");
        faults.Need((text?.Length ?? 0) <= longest, $"{what} is longer than {longest} characters.");
    }
}
