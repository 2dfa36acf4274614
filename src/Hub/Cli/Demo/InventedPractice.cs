using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Cli.Demo;

/// <summary>The invented clinic's assistant with a sign-off, and its clinicians' registrations: one that holds, one that ends soon.</summary>
internal sealed class InventedPractice(IServiceProvider services, ClinicPeople people)
{
    /// <summary>Where the invented clinic stands, as far as registrations are concerned.</summary>
    private const string Place = "CA-NS";

    /// <summary>Enters it unless something of the kind is there.</summary>
    public async Task Enter(CancellationToken cancellationToken)
    {
        var facts = services.GetRequiredService<FleetFacts>();
        var loaded = await facts.Verify(cancellationToken);
        if (!loaded.Integrity.Valid || loaded.State.Practice != PracticeState.Empty)
        {
            return;
        }

        var today = facts.Today(loaded.State);
        var coordinator = new Actor(people.Coordinator, InventedClinic.Coordinator);
        var owner = new Actor(people.Owner, InventedClinic.Owner);
        IReadOnlyList<FleetFact> entered =
        [
            new TierWasSet(people.Assistant, AssistantTier.Trained, "course of the clinic", coordinator),
            new SignOffGiven(Guid.CreateVersion7(), people.Assistant, AssistantTask.EarPicture, new Actor(people.Clinician, InventedClinic.Clinician), VerifiedHow.InPerson, today.AddDays(-60), today.AddDays(300), null, coordinator),
            new RegistrationKept(Guid.CreateVersion7(), people.Clinician, Place, "A-1042", "Audiologist", today.AddDays(200), owner),
            new RegistrationKept(Guid.CreateVersion7(), people.SecondClinician, Place, "A-1077", "Audiologist", today.AddDays(20), owner),
        ];
        await services.GetRequiredService<SessionStore>().Append(new AppendBatch([], null, null, _ => { }) { FleetFacts = new FleetFactAppend(loaded, entered) }, cancellationToken);
    }
}
