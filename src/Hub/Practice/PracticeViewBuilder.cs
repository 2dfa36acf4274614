using TeleHearing.Contracts;

namespace TeleHearing.Hub.Practice;

/// <summary>Makes the picture of the practice. Pure.</summary>
internal static class PracticeViewBuilder
{
    public static PracticeView Build(PracticeState state, PracticePeople people, DateOnly today, IntegrityView integrity) => new(
        today,
        [.. people.With(Roles.Assistant).Select(person => Assistant(state, person, today))],
        [.. people.With(Roles.Clinician).Select(person => new ClinicianView(person, [.. state.Registrations.Reverse().Where(registration => registration.Kept.PersonId == person.PersonId).Select(registration => View(registration, today))]))],
        people.With(Roles.Clinician, Roles.Owner),
        integrity);

    /// <summary>A registration as shown.</summary>
    public static RegistrationView View(Registration registration, DateOnly today)
    {
        var kept = registration.Kept;
        return new RegistrationView(kept.RegistrationId, kept.Jurisdiction, kept.Number, kept.Title, kept.ValidUntil, kept.By.Name, registration.EndedBecause, LastingOf(registration.EndedBecause, kept.ValidUntil, today));
    }

    private static AssistantView Assistant(PracticeState state, PracticePerson person, DateOnly today) => new(
        person,
        state.TierOf(person.PersonId),
        state.Tiers.GetValueOrDefault(person.PersonId)?.Reason,
        [.. state.SignOffs.Reverse().Where(signOff => signOff.Given.PersonId == person.PersonId).Select(signOff => View(signOff, today))],
        [.. AssistantTasks.All.Where(task => SignOffs.Holds(state, person.PersonId, task, today).Holds)]);

    private static SignOffView View(SignOff signOff, DateOnly today)
    {
        var given = signOff.Given;
        return new SignOffView(given.SignOffId, given.Task, given.VerifiedBy.Name, given.How, given.On, given.Until, given.Note, given.By.Name, signOff.WithdrawnBecause, LastingOf(signOff.WithdrawnBecause, given.Until, today));
    }

    private static Lasting LastingOf(string? takenBack, DateOnly until, DateOnly today) =>
        takenBack is not null ? Lasting.Withdrawn
        : until < today ? Lasting.Over
        : until.DayNumber - today.DayNumber <= PracticeView.SoonDays ? Lasting.EndsSoon
        : Lasting.Holds;
}
