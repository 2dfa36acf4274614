using TeleHearing.Contracts;

namespace TeleHearing.Hub.Practice;

/// <summary>How a clinician's registrations stand to a place, and the one that is shown for it.</summary>
/// <param name="Standing">How they stand.</param>
/// <param name="Shown">The one that covers the place, in date when there is such a one; absent when none covers it.</param>
internal sealed record RegistrationAnswer(RegistrationStanding Standing, Registration? Shown);

/// <summary>What registrations cover. Pure. Whether a clinician may serve somebody at a place, local law and the licensing body decide.</summary>
internal static class Registrations
{
    /// <summary>How somebody's registrations stand to a place on a day.</summary>
    /// <param name="practice">The practice's facts.</param>
    /// <param name="personId">Account of the clinician.</param>
    /// <param name="jurisdiction">Code of the place, see <see cref="Jurisdictions"/>.</param>
    /// <param name="today">The day at the clinic.</param>
    public static RegistrationAnswer Standing(PracticeState practice, string personId, string jurisdiction, DateOnly today)
    {
        var kept = practice.Registrations.Where(registration => registration.Kept.PersonId == personId && registration.EndedBecause is null).ToList();
        var covering = kept.Where(registration => Jurisdictions.Covers(registration.Kept.Jurisdiction, jurisdiction)).MaxBy(registration => registration.Kept.ValidUntil);
        return covering is null
            ? new RegistrationAnswer(kept.Count == 0 ? RegistrationStanding.None : RegistrationStanding.NotForThisPlace, null)
            : new RegistrationAnswer(covering.CountsOn(today) ? RegistrationStanding.Matches : RegistrationStanding.Expired, covering);
    }
}
