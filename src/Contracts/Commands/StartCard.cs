using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>What a person can be known by.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<IdentifierKind>))]
public enum IdentifierKind
{
    FullName,

    /// <summary>Said as a day, kept as yyyy-MM-dd.</summary>
    BirthDate,

    /// <summary>The clinic's own reference.</summary>
    ClinicReference,
    Address,
    Telephone,

    /// <summary>Number of a health service or insurer.</summary>
    HealthNumber,

    /// <summary>Something else.</summary>
    Other,
}

/// <summary>What a person said of themselves when asked.</summary>
/// <param name="Kind">Kind.</param>
/// <param name="Said">What was said, not what was read out to them.</param>
public sealed record SpokenIdentifier(IdentifierKind Kind, string Said);

/// <summary>The clinician's word on which person it is, where others look alike or something said differs from the referral.</summary>
/// <param name="Reference">Clinic reference of the person who is there.</param>
/// <param name="Why">How that is known.</param>
public sealed record WhoItIs(string Reference, string Why);

/// <summary>Who is there and where, as it stands now. Filled in at the start of a session and anew whenever something of it changes.</summary>
/// <param name="Identifiers">Two identifiers of different kinds.</param>
/// <param name="AddressNow">Where the person is now, exactly enough for an ambulance.</param>
/// <param name="Jurisdiction">Code of that place, see <see cref="Jurisdictions"/>.</param>
/// <param name="CallBackNumber">Telephone to call when the link fails.</param>
/// <param name="EmergencyNumber">Local emergency number at that place. Only whether it can be a number is checked.</param>
/// <param name="EmergencyContact">A person to call.</param>
/// <param name="PeopleAtSite">Everyone in the room with the person.</param>
/// <param name="PeopleWithClinician">Everyone in the clinician's room; "alone" when nobody.</param>
/// <param name="PeopleAgreed">The person agreed that these are present, in both rooms.</param>
/// <param name="Introduced">The clinician has said their own name and registration.</param>
/// <param name="RegistrationReason">Why the session goes on although no registration in date covers the place; absent when one does.</param>
/// <param name="WhoItIs">Which person it is; needed when others look alike or something differs.</param>
public sealed record StartCard(
    IReadOnlyList<SpokenIdentifier> Identifiers,
    string AddressNow,
    string Jurisdiction,
    string CallBackNumber,
    string EmergencyNumber,
    string EmergencyContact,
    string PeopleAtSite,
    string PeopleWithClinician,
    bool PeopleAgreed,
    bool Introduced,
    string? RegistrationReason,
    WhoItIs? WhoItIs)
{
    /// <summary>Longest address and list of people, characters (design): what is read at a glance.</summary>
    public const int LongestLine = 200;

    /// <summary>Longest identifier, number and contact, characters (design).</summary>
    public const int LongestShort = 100;

    /// <summary>Longest reason, characters (design).</summary>
    public const int LongestReason = 300;

    /// <summary>Most digits of a telephone number (ITU-T E.164 clause 6.1: 15).</summary>
    public const int MostDigits = 15;

    /// <summary>Everyone present, in both rooms, in a line.</summary>
    [JsonIgnore]
    public string Present => PeopleWithClinician.Length == 0 ? PeopleAtSite : $"{PeopleAtSite}; with the clinician: {PeopleWithClinician}";

    /// <summary>Whether something typed can be a telephone number: digits, and what people write between them. Whether it is the right one nobody here can know.</summary>
    /// <param name="typed">As typed.</param>
    /// <param name="fewestDigits">Fewest digits: emergency numbers have two and more.</param>
    public static bool CanBeNumber(string? typed, int fewestDigits)
    {
        var text = typed?.Trim() ?? string.Empty;
        var digits = text.Count(char.IsAsciiDigit);
        return digits >= fewestDigits
            && digits <= MostDigits
            && text.Select((letter, index) => char.IsAsciiDigit(letter) || letter is ' ' or '-' or '.' or '/' or '(' or ')' || (letter == '+' && index == 0)).All(fits => fits);
    }
}

/// <summary>Confirm the start card. It can be asked at every open stage once it was there, and is asked anew after a long gap and by whoever comes to lead the session.</summary>
public sealed record ConfirmIdentity(StartCard Card) : SessionCommand;
