using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Workbench.Gates;

/// <summary>A start card as it is being typed. What a card that stands says is filled in, except what has to be asked again each time.</summary>
public sealed class CardTyped
{
    private readonly (IdentifierKind Kind, string Said)[] _identifiers = [(IdentifierKind.FullName, string.Empty), (IdentifierKind.BirthDate, string.Empty)];

    /// <summary>Kind and words of the two identifiers.</summary>
    public IReadOnlyList<(IdentifierKind Kind, string Said)> Identifiers => _identifiers;

    public string Address { get; set; } = string.Empty;

    public string Place { get; set; } = string.Empty;

    public string CallBack { get; set; } = string.Empty;

    public string Emergency { get; set; } = string.Empty;

    public string Contact { get; set; } = string.Empty;

    public string AtSite { get; set; } = string.Empty;

    public string WithMe { get; set; } = string.Empty;

    public bool Agreed { get; set; }

    public bool Introduced { get; set; }

    public string Reason { get; set; } = string.Empty;

    /// <summary>Whether the person who is there is the one the session is planned for.</summary>
    public bool? IsThisPerson { get; set; }

    public string Why { get; set; } = string.Empty;

    /// <summary>Begins with the card that stands.</summary>
    public static CardTyped From(StartCard? known)
    {
        var typed = new CardTyped();
        if (known is null)
        {
            return typed;
        }

        for (var at = 0; at < Math.Min(known.Identifiers.Count, typed.Identifiers.Count); at++)
        {
            typed.Write(at, known.Identifiers[at].Kind, known.Identifiers[at].Said);
        }

        (typed.Address, typed.Place, typed.CallBack, typed.Emergency, typed.Contact) = (known.AddressNow, known.Jurisdiction, known.CallBackNumber, known.EmergencyNumber, known.EmergencyContact);
        (typed.AtSite, typed.WithMe, typed.Reason) = (known.PeopleAtSite, known.PeopleWithClinician, known.RegistrationReason ?? string.Empty);
        if (known.WhoItIs is { } who)
        {
            (typed.IsThisPerson, typed.Why) = (true, who.Why);
        }

        return typed;
    }

    /// <summary>Opens again what only the person can say: the identifiers, of the kinds asked for, and with them which of several people it is.</summary>
    public void ForgetWhoItIs()
    {
        for (var at = 0; at < _identifiers.Length; at++)
        {
            _identifiers[at].Said = string.Empty;
        }

        (IsThisPerson, Why) = (null, string.Empty);
    }

    /// <summary>Writes one of the two identifiers.</summary>
    public void Write(int at, IdentifierKind kind, string said) => _identifiers[at] = (kind, said);

    /// <summary>What is still lacking, as a sentence; null when it can be asked.</summary>
    public string? Lacking(bool covered, bool doubtful) =>
        Identifiers.Any(said => string.IsNullOrWhiteSpace(said.Said)) ? "Ask for two identifiers and write down what is said."
        : Identifiers[0].Kind == Identifiers[1].Kind ? "The two identifiers must be of different kinds."
        : string.IsNullOrWhiteSpace(Address) ? "Ask where the person is now."
        : Jurisdictions.Fault(Place)
        ?? (!StartCard.CanBeNumber(CallBack, 5) ? "Give a number to call when the link fails."
        : !StartCard.CanBeNumber(Emergency, 2) ? "Give the emergency number at that place, in digits."
        : string.IsNullOrWhiteSpace(Contact) ? "Give someone to call in an emergency."
        : string.IsNullOrWhiteSpace(AtSite) || string.IsNullOrWhiteSpace(WithMe) ? "Say who is in each of the two rooms."
        : !Agreed ? "Ask whether everybody agrees to who is present."
        : !Introduced ? "Say your own name and registration."
        : !covered && string.IsNullOrWhiteSpace(Reason) ? "Give the reason for going on without a registration for this place."
        : doubtful && IsThisPerson is null ? "Say which person it is."
        : IsThisPerson == false ? "Another person is there: end this session and plan one for them."
        : doubtful && string.IsNullOrWhiteSpace(Why) ? "Say how you know which person it is."
        : null);

    /// <summary>The card.</summary>
    /// <param name="reference">Reference of the person the session is planned for.</param>
    /// <param name="covered">Whether a registration covers the place.</param>
    public StartCard Card(string reference, bool covered) => new(
        [.. Identifiers.Select(said => new SpokenIdentifier(said.Kind, said.Said.Trim()))],
        Address.Trim(),
        Place.Trim().ToUpperInvariant(),
        CallBack.Trim(),
        Emergency.Trim(),
        Contact.Trim(),
        AtSite.Trim(),
        WithMe.Trim(),
        Agreed,
        Introduced,
        covered || string.IsNullOrWhiteSpace(Reason) ? null : Reason.Trim(),
        IsThisPerson == true && !string.IsNullOrWhiteSpace(Why) ? new WhoItIs(reference, Why.Trim()) : null);
}
