using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.People.LookAlikes;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Sessions.Start;

/// <summary>Reads what a start card rests on: whoever sessions were planned for, and registrations.</summary>
internal sealed class CardReader
{
    private readonly FleetFacts _fleet;
    private readonly IDbContextFactory<HubContext> _contexts;

    public CardReader(FleetFacts fleet, IDbContextFactory<HubContext> contexts) => (_fleet, _contexts) = (fleet, contexts);

    /// <summary>What a decision about a card needs.</summary>
    public async Task<CardFacts> Facts(PersonTested person, string clinicianId, string jurisdiction, CancellationToken cancellationToken)
    {
        var fleet = (await _fleet.Load(cancellationToken)).State;
        var known = new KnownPerson(person.Reference, person.Name, person.BirthDate);
        var place = Jurisdictions.Find(jurisdiction)?.Code ?? string.Empty;
        return new CardFacts(known, Registrations.Standing(fleet.Practice, clinicianId, place, _fleet.Today(fleet)), LookAlikeFinder.Find(known, await People(cancellationToken)));
    }

    /// <summary>What a clinician needs to fill a card in.</summary>
    public async Task<StartCardHelp> Help(PersonTested person, string clinicianId, CancellationToken cancellationToken)
    {
        var fleet = (await _fleet.Load(cancellationToken)).State;
        var today = _fleet.Today(fleet);
        return new StartCardHelp(
            today,
            [.. fleet.Practice.Registrations.Where(registration => registration.Kept.PersonId == clinicianId && registration.EndedBecause is null).Select(registration => PracticeViewBuilder.View(registration, today))],
            LookAlikeFinder.Find(new KnownPerson(person.Reference, person.Name, person.BirthDate), await People(cancellationToken)));
    }

    /// <summary>Everybody a session was ever planned for, by reference, name and birth date; who was erased is not known any more.</summary>
    public async Task<IReadOnlyList<KnownPerson>> People(CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);

        // Whole rows, since who is tested is sealed within them; one that cannot be opened names nobody.
        var rows = await context.Sessions.AsNoTracking().Where(row => row.ErasedTicks == null).ToListAsync(cancellationToken);
        return [.. rows.Where(row => row.PersonReference != Seals.Unreadable).Select(row => new KnownPerson(row.PersonReference, row.PersonName, row.BirthDate)).Distinct()];
    }
}
