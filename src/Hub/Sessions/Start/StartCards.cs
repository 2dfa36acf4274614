using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.People.LookAlikes;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Start;

/// <summary>A start card as a session has it.</summary>
/// <param name="Card">The card.</param>
/// <param name="Standing">How the registrations of who confirmed it stood to the place.</param>
/// <param name="Registration">The one that covers the place; absent when none does.</param>
/// <param name="At">When it was confirmed.</param>
/// <param name="By">Who confirmed it.</param>
internal sealed record ConfirmedCard(StartCard Card, RegistrationStanding Standing, RegistrationShown? Registration, DateTimeOffset At, Actor By);

/// <summary>What follows from start cards. Pure.</summary>
internal static class StartCards
{
    /// <summary>Why a card has to be confirmed anew, as a sentence; null while it stands, and while there is none. Whoever lends control for a task goes on leading.</summary>
    public static string? AgainBecause(SessionState state) => state.Identity switch
    {
        null => null,
        _ when state.CardAfterGap => "There was a gap longer than the clinic's limit: confirm who is there and where anew.",
        { } card when (state.Control.Loan?.By ?? state.Holder) is { } leader && leader.Id != card.By.Id => $"{card.By.Name} confirmed it, and {leader.Name} leads now: confirm who is there and where anew.",
        _ => null,
    };

    /// <summary>The card as shown.</summary>
    public static StartCardView? View(SessionState state) => state.Identity is { } card
        ? new StartCardView(card.Card, card.At, card.By.Name, card.Standing, card.Registration, AgainBecause(state))
        : null;

    /// <summary>A card of the first shape, which knew neither kinds of identifiers nor codes of places.</summary>
    public static ConfirmedCard Of(IdentityConfirmed confirmed, DateTimeOffset at)
    {
        var once = confirmed.Identity;
        var card = new StartCard(
            [new SpokenIdentifier(IdentifierKind.Other, once.FirstIdentifier), new SpokenIdentifier(IdentifierKind.Other, once.SecondIdentifier)],
            once.AddressNow,
            string.Empty,
            once.CallBackNumber,
            once.EmergencyNumber,
            once.EmergencyContact,
            once.PersonsPresent,
            string.Empty,
            true,
            true,
            once.LicenceReason,
            null);
        return new ConfirmedCard(card, once.LicenceCoversAddress ? RegistrationStanding.Matches : RegistrationStanding.NotForThisPlace, null, at, confirmed.By);
    }

    /// <summary>What was said that differs from what the referral has, a sentence each.</summary>
    public static IReadOnlyList<string> Differences(StartCard card, KnownPerson person) =>
    [
        .. card.Identifiers.Select(said => said.Kind switch
        {
            IdentifierKind.FullName when !NameForm.Words(said.Said).SequenceEqual(NameForm.Words(person.Name)) => "The name said is not the one of the referral.",
            IdentifierKind.BirthDate when BirthDateOf(said) != person.BirthDate => "The date of birth said is not the one of the referral.",
            IdentifierKind.ClinicReference when !string.Equals(said.Said.Trim(), person.Reference, StringComparison.OrdinalIgnoreCase) => "The clinic reference said is not the one of this session.",
            _ => null,
        }).OfType<string>(),
    ];

    /// <summary>The day of a birth date that was said; null when it is none.</summary>
    public static DateOnly? BirthDateOf(SpokenIdentifier said) =>
        DateOnly.TryParseExact(said.Said.Trim(), "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day) ? day : null;
}
