using TeleHearing.Contracts;
using TeleHearing.Hub.People.LookAlikes;
using TeleHearing.Hub.Practice;

namespace TeleHearing.Hub.Sessions.Start;

/// <summary>What a decision about a start card needs to know.</summary>
/// <param name="Person">The person the session is planned for; absent when nothing is known of them.</param>
/// <param name="Registration">How the clinician's registrations stand to the place.</param>
/// <param name="LookAlikes">People who might be taken for the person.</param>
internal sealed record CardFacts(KnownPerson? Person, RegistrationAnswer Registration, IReadOnlyList<LookAlikeView> LookAlikes)
{
    /// <summary>Nobody known and no registration kept.</summary>
    public static CardFacts Nothing { get; } = new(null, new RegistrationAnswer(RegistrationStanding.None, null), []);
}
