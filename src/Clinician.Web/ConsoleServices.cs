using Microsoft.AspNetCore.Components.WebAssembly.Services;
using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Clinician.Web.Fleet.Planning;
using TeleHearing.Clinician.Web.Kits.Board;
using TeleHearing.Clinician.Web.Kits.Items;
using TeleHearing.Clinician.Web.Kits.Scan;
using TeleHearing.Clinician.Web.Lock;
using TeleHearing.Clinician.Web.State;
using TeleHearing.Clinician.Web.Workbench.Hearing;

namespace TeleHearing.Clinician.Web;

/// <summary>What the console is made of. One of each for every tab.</summary>
public static class ConsoleServices
{
    /// <summary>Adds everything, talking to the hub at an address.</summary>
    public static IServiceCollection AddConsole(this IServiceCollection services, Uri hubAddress)
    {
        services.AddSingleton(provider => new HttpClient(new ConfirmingHandler(provider.GetRequiredService<ConfirmDesk>()) { InnerHandler = new HttpClientHandler() }) { BaseAddress = hubAddress });
        services.AddSingleton<IConsoleLink>(provider => new HubLink(hubAddress, provider.GetRequiredService<TimeProvider>()));
        return services.AddConsoleState();
    }

    /// <summary>Adds everything but the way to the hub.</summary>
    public static IServiceCollection AddConsoleState(this IServiceCollection services)
    {
        services.AddSingleton(TimeProvider.System);
        services.AddSingleton<Account>();
        services.AddSingleton<ConfirmDesk>();
        services.AddSingleton<ProofDesk>();
        services.AddSingleton<IdleLock>();
        services.AddSingleton<HubClock>();
        services.AddSingleton<BoardStore>();
        services.AddSingleton<SessionStore>();
        services.AddSingleton<CommandDesk>();
        services.AddSingleton<PresenceKeeper>();
        services.AddSingleton<ColleagueStore>();
        services.AddSingleton<KitBoardStore>();
        services.AddSingleton<KitStore>();
        services.AddSingleton<KitDesk>();
        services.AddSingleton<FleetStore>();
        services.AddSingleton<FleetDesk>();
        services.AddSingleton<PlanRun>();
        services.AddSingleton<FormMemory>();
        services.AddSingleton<ItemDesk>();
        services.AddSingleton<LazyAssemblyLoader>();
        services.AddSingleton<PatternReader>();
        services.AddSingleton<HandTest>();
        return services;
    }
}
