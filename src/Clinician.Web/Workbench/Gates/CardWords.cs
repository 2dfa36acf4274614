using System.Globalization;
using TeleHearing.Clinician.Web.Practice;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Workbench.Gates;

/// <summary>The start card in words.</summary>
internal static class CardWords
{
    public static string Kind(IdentifierKind kind) => kind switch
    {
        IdentifierKind.FullName => "full name",
        IdentifierKind.BirthDate => "date of birth",
        IdentifierKind.ClinicReference => "clinic reference",
        IdentifierKind.Address => "home address",
        IdentifierKind.Telephone => "telephone number",
        IdentifierKind.HealthNumber => "health or insurance number",
        _ => "something else",
    };

    /// <summary>How registrations stand to a place.</summary>
    public static string Standing(RegistrationStanding standing, RegistrationView? shown, Jurisdiction place) => standing switch
    {
        RegistrationStanding.Matches => $"✓ Your registration covers {place}: {shown!.Title}, {shown.Number}.",
        RegistrationStanding.Expired => $"▲ Your registration for {place} expired on {PracticeWords.Day(shown!.ValidUntil)}.",
        RegistrationStanding.NotForThisPlace => $"▲ None of your registrations covers {place}.",
        _ => "▲ No registration of yours is kept on the page Practice.",
    };

    /// <summary>What was typed that differs from the referral, a sentence each. The hub decides; this only says it sooner.</summary>
    public static IReadOnlyList<string> Differences(CardTyped typed, PersonTested person) =>
    [
        .. typed.Identifiers.Where(said => said.Said.Trim().Length > 0).Select(said => said.Kind switch
        {
            IdentifierKind.BirthDate when said.Said.Trim() != person.BirthDate.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture) => "The date of birth said is not the one of the referral.",
            IdentifierKind.ClinicReference when !string.Equals(said.Said.Trim(), person.Reference, StringComparison.OrdinalIgnoreCase) => "The clinic reference said is not the one of this session.",
            IdentifierKind.FullName when !string.Equals(said.Said.Trim(), person.Name, StringComparison.OrdinalIgnoreCase) => "The name said is not written as in the referral.",
            _ => null,
        }).OfType<string>(),
    ];
}
