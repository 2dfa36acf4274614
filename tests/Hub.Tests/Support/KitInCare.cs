using TeleHearing.Contracts;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>A hub over real sockets with one kit, not connected yet, and the two people who look after it.</summary>
internal sealed class KitInCare : IAsyncDisposable
{
    public static readonly KitId KitId = new("kit-01");
    public static readonly DateOnly Today = DateOnly.FromDateTime(TimeProvider.System.GetLocalNow().Date);

    private KitInCare(RunningHub hub, TestKit kit, TestConsole coordinator, TestConsole clinician, string clinicianId) =>
        (Hub, Kit, Coordinator, Clinician, ClinicianId) = (hub, kit, coordinator, clinician, clinicianId);

    public RunningHub Hub { get; }

    public TestKit Kit { get; }

    public TestConsole Coordinator { get; }

    public TestConsole Clinician { get; }

    public string ClinicianId { get; }

    public static async Task<KitInCare> Start()
    {
        var hub = await RunningHub.Start();
        var clinicianId = await hub.Person("Maren Toft", Roles.Clinician);
        var kit = await hub.Kit();
        return new KitInCare(hub, kit, await hub.Console(await hub.Person("Pella Nyström", Roles.Coordinator)), await hub.Console(clinicianId), clinicianId);
    }

    public async ValueTask DisposeAsync()
    {
        await Coordinator.DisposeAsync();
        await Clinician.DisposeAsync();
        await Kit.DisposeAsync();
        await Hub.DisposeAsync();
    }
}
