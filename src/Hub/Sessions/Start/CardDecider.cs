using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Start;

/// <summary>Decides about a start card: a registration that does not cover the place and people who look alike ask for a word, and block nothing by themselves.</summary>
internal static class CardDecider
{
    public static Decision Decide(SessionState state, StartCard card, Actor by, CardFacts facts)
    {
        var standing = facts.Registration.Standing;
        var reason = Tidy(card.RegistrationReason);
        if (standing != RegistrationStanding.Matches && reason is null)
        {
            return Decision.Refuse(RefusalCodes.ReasonMissing, Words(standing, card.Jurisdiction), "Give the reason for going on, or end the session. Local law decides whether you may.");
        }

        var doubts = Doubts(card, facts);
        if (doubts.Count > 0 && card.WhoItIs is null)
        {
            return Decision.Refuse(RefusalCodes.ReasonMissing, string.Join(" ", doubts), "Ask once more, then say which person it is and how you know.");
        }

        if (card.WhoItIs is { } who && !string.Equals(who.Reference.Trim(), state.PersonReference, StringComparison.OrdinalIgnoreCase))
        {
            return Decision.Refuse(RefusalCodes.GateNotMet, $"This session is planned for {state.PersonReference}, not for {who.Reference.Trim()}.", "End this session and plan one for the person who is there.");
        }

        var kept = facts.Registration.Shown?.Kept;
        return Decision.Of(new StartCardConfirmed(
            Tidied(card) with { RegistrationReason = standing == RegistrationStanding.Matches ? null : reason },
            standing,
            kept is null ? null : new RegistrationShown(kept.Jurisdiction, kept.Number, kept.Title, kept.ValidUntil),
            [.. facts.LookAlikes.Select(other => other.Reference)],
            by));
    }

    /// <summary>How registrations stand to a place, as a sentence.</summary>
    public static string Words(RegistrationStanding standing, string jurisdiction) => standing switch
    {
        RegistrationStanding.Matches => $"A registration in date covers {jurisdiction}.",
        RegistrationStanding.Expired => $"Your registration for {jurisdiction} has expired.",
        RegistrationStanding.NotForThisPlace => $"None of your registrations covers {jurisdiction}.",
        _ => "No registration of yours is kept.",
    };

    private static List<string> Doubts(StartCard card, CardFacts facts)
    {
        var doubts = facts.Person is { } person ? StartCards.Differences(card, person).ToList() : [];
        if (facts.LookAlikes.Count > 0)
        {
            doubts.Add($"Others look alike: {string.Join(", ", facts.LookAlikes.Select(other => other.Reference))}.");
        }

        return doubts;
    }

    private static StartCard Tidied(StartCard card) => card with
    {
        Identifiers = [.. card.Identifiers.Select(said => said with { Said = said.Said.Trim() })],
        AddressNow = card.AddressNow.Trim(),
        Jurisdiction = Jurisdictions.Find(card.Jurisdiction)?.Code ?? card.Jurisdiction,
        CallBackNumber = card.CallBackNumber.Trim(),
        EmergencyNumber = card.EmergencyNumber.Trim(),
        EmergencyContact = card.EmergencyContact.Trim(),
        PeopleAtSite = card.PeopleAtSite.Trim(),
        PeopleWithClinician = card.PeopleWithClinician.Trim(),
        WhoItIs = card.WhoItIs is { } who ? new WhoItIs(who.Reference.Trim(), who.Why.Trim()) : null,
    };

    private static string? Tidy(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();
}
