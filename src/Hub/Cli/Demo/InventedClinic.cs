using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.SettingUp;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Cli.Demo;

/// <summary>The invented people of the demonstration, as account ids.</summary>
internal sealed record ClinicPeople(string Clinician, string SecondClinician, string Coordinator, string Owner, string Assistant);

/// <summary>An invented clinic, "Fernhill Hearing": its people, kits and the sessions of a day. Nobody in it exists.</summary>
/// <remarks>Seeding looks at what is there and adds what is missing, so that a second start doubles nothing.</remarks>
internal sealed class InventedClinic(IServiceProvider services)
{
    public const string Name = "Fernhill Hearing";
    public const string Clinician = "Maren Toft";
    public const string SecondClinician = "Ivo Lindqvist";
    public const string Coordinator = "Pella Nyström";

    public const string Owner = "Sunniva Hale";

    public const string Assistant = "Ada Wiksell";

    /// <summary>The kit whose agent the demonstration runs.</summary>
    public static readonly KitId Kit = new("kit-01");

    private static readonly TimeSpan _between = TimeSpan.FromMinutes(45);

    private static readonly (KitId Kit, string Label, string Where)[] _kits =
    [
        (Kit, "loan kit, circumaural earphones", "Fernhill, kit room"),
        (new KitId("kit-02"), "loan kit, circumaural earphones", "Fernhill, kit room"),
        (new KitId("kit-03"), "travelling set, circumaural earphones", "Fernhill, kit room"),
    ];

    /// <summary>Kits that are with the people of the day's sessions, and where.</summary>
    public static readonly IReadOnlyList<(KitId Kit, string Place)> Away = [(Kit, "Birch Row 4"), (new KitId("kit-02"), "Linden Court residence")];

    private static readonly (PersonTested Person, string Place, KitId Kit)[] _day =
    [
        (new PersonTested("P-0107", "Oda Brekkestad", new DateOnly(1951, 3, 14), "Trouble following talk at table; first test."), "at home, Birch Row 4, kit posted", Kit),
        (new PersonTested("P-0112", "Tarquin Ollerenshaw", new DateOnly(1944, 11, 2), "Turns the radio up; asked for by family."), "at home, Birch Row 4, the same household and kit", Kit),
        (new PersonTested("P-0115", "Wilhelmina Strand", new DateOnly(1938, 7, 29), "Yearly check at the residence.") { Language = "es" }, "Linden Court residence, quiet room", new KitId("kit-02")),
    ];

    /// <summary>Enters people and kits that are not there yet.</summary>
    public async Task<ClinicPeople> EnterClinic(CancellationToken cancellationToken)
    {
        var fleet = services.GetRequiredService<KitFleet>();
        foreach (var (kit, label, where) in _kits)
        {
            await fleet.Enter(kit, label, where, cancellationToken);
        }

        return new ClinicPeople(
            await Person(Clinician, Roles.Clinician, cancellationToken),
            await Person(SecondClinician, Roles.Clinician, cancellationToken),
            await Person(Coordinator, Roles.Coordinator, cancellationToken),
            await Person(Owner, Roles.Owner, cancellationToken),
            await Person(Assistant, Roles.Assistant, cancellationToken));
    }

    /// <summary>Plans a day's sessions unless one of today's is still to be done.</summary>
    /// <returns>How many were added.</returns>
    public async Task<int> PlanToday(ClinicPeople people, CancellationToken cancellationToken)
    {
        var now = services.GetRequiredService<TimeProvider>().GetLocalNow();
        if (await OpenToday(now, cancellationToken))
        {
            return 0;
        }

        var schedule = services.GetRequiredService<SessionSchedule>();
        for (var i = 0; i < _day.Length; i++)
        {
            var (person, place, kit) = _day[i];
            await schedule.Plan(new SessionPlan(person, place, now + (i * _between), kit, people.Clinician), cancellationToken);
        }

        return _day.Length;
    }

    /// <summary>Plans one session now, on the demonstration's kit.</summary>
    public Task<SessionId> PlanOne(ClinicPeople people, CancellationToken cancellationToken)
    {
        var (person, place, kit) = _day[0];
        var plan = new SessionPlan(person, place, services.GetRequiredService<TimeProvider>().GetUtcNow(), kit, people.Clinician);
        return services.GetRequiredService<SessionSchedule>().Plan(plan, cancellationToken);
    }

    /// <summary>Whether the kit's agent has enrolled before.</summary>
    public async Task<bool> KitIsEnrolled(CancellationToken cancellationToken)
    {
        await using var context = await Open(cancellationToken);
        return await context.Kits.AnyAsync(row => row.KitId == Kit.Value && row.PublicKeyPem != null && row.RevokedTicks == null, cancellationToken);
    }

    private async Task<bool> OpenToday(DateTimeOffset now, CancellationToken cancellationToken)
    {
        await using var context = await Open(cancellationToken);
        var midnight = new DateTimeOffset(now.Date, now.Offset);
        var from = midnight.UtcTicks;
        var to = midnight.AddDays(1).UtcTicks;
        var stages = await context.Sessions.Where(row => row.PlannedStartTicks >= from && row.PlannedStartTicks < to && row.KitId == Kit.Value).Select(row => row.Stage).ToListAsync(cancellationToken);
        return stages.Select(Enum.Parse<SessionStage>).Any(stage => stage is not (SessionStage.Closed or SessionStage.Aborted or SessionStage.Converted));
    }

    private async Task<string> Person(string name, string role, CancellationToken cancellationToken)
    {
        return (await OpenedHub.PeopleNamed(services, name, cancellationToken)).FirstOrDefault()
            ?? await services.GetRequiredService<PeopleAdmin>().Enter(name, [role], cancellationToken);
    }

    private Task<HubContext> Open(CancellationToken cancellationToken) =>
        services.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContextAsync(cancellationToken);
}
