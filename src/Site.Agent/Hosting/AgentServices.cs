using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Ceilings;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Link;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Screen.Case;
using TeleHearing.Site.Agent.Steps;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>The parts of the agent and what they are made from.</summary>
internal static class AgentServices
{
    public static void AddAgent(this IServiceCollection services, RunOptions options)
    {
        services.AddSingleton(options);
        services.AddSingleton(TimeProvider.System);
        services.AddSingleton<FatalFaults>();
        services.AddJournal(options);
        services.AddSound(options);
        services.AddSteps(options);
        services.AddLink(options);

        // Started in this order and stopped in the reverse one: the step in hand ends first, its last facts can still go out, the sound loop ends last.
        services.AddHostedService<AudioService>();
        services.AddHostedService<HubLink>();
        services.AddHostedService<StepRunner>();
        if (options.Listener is not null)
        {
            services.AddHostedService(provider => new SimulatedPerson(
                provider.GetRequiredService<SideAnswers>(),
                () => provider.GetRequiredService<SimulatedSoundCard>().LastHeardSide));
        }

        if (options.Scripted)
        {
            services.AddHostedService<ScriptedAssistant>();
        }
    }

    private static void AddJournal(this IServiceCollection services, RunOptions options)
    {
        services.AddSingleton<IDurableFiles, DurableFiles>();
        services.AddSingleton(provider => KitJournal.Load(options.DataFolder, provider.GetRequiredService<IDurableFiles>(), provider.GetRequiredService<ILogger<KitJournal>>()));
        services.AddSingleton(provider => new HeldHeads(options.DataFolder, provider.GetRequiredService<IDurableFiles>(), provider.GetRequiredService<ILogger<HeldHeads>>()));
        services.AddSingleton(provider => OrderLedger.Load(options.DataFolder, provider.GetRequiredService<IDurableFiles>()));
        services.AddSingleton(provider =>
        {
            var engine = provider.GetRequiredService<AudioEngine>();
            return new FactWriter(provider.GetRequiredService<KitJournal>(), () => engine.NowMs, provider.GetRequiredService<ILogger<FactWriter>>());
        });
    }

    private static void AddSound(this IServiceCollection services, RunOptions options)
    {
        services.AddSingleton(provider => GearFiles.Load(options.DataFolder, provider.GetRequiredService<ILogger<Gear>>()));
        if (options.Listener is { } listener)
        {
            services.AddSingleton(provider =>
            {
                var card = new SimulatedSoundCard(
                    Simulation.Listener(listener, options.Seed, options.ListenerSpreadDb, options.ListenerFalseAlarmsPerMinute),
                    Simulation.Room(options.Room, options.Seed),
                    options.Pace,
                    provider.GetRequiredService<TimeProvider>());

                // the simulated person wears what the assistant marks as worn
                var worn = provider.GetRequiredService<GearWorn>();
                card.Wear(worn.Now);
                worn.Changed += card.Wear;
                return card;
            });
            services.AddSingleton(provider => KitSound.Simulated(provider.GetRequiredService<SimulatedSoundCard>(), provider.GetRequiredService<Gear>()));
        }
        else
        {
            services.AddSingleton(provider => KitSound.Open(provider.GetRequiredService<Gear>(), options, provider.GetRequiredService<TimeProvider>()));
        }

        services.AddSingleton(provider => new LeaseClock(provider.GetRequiredService<TimeProvider>()));
        services.AddSingleton(provider =>
        {
            var sound = provider.GetRequiredService<KitSound>();
            var lease = provider.GetRequiredService<LeaseClock>();
            return new AudioEngine(
                sound.Output,
                sound.Input,
                sound.Presses,
                options.Pace,
                // what is handed over sounds a latency later, and nothing takes it back
                () => lease.IsValidFor(AudioFormat.MillisecondsOf(sound.Output.LatencyFrames)),
                options.RecordPath is null ? null : new Recorder(options.RecordPath, provider.GetRequiredService<TimeProvider>()),
                provider.GetRequiredService<ILogger<AudioEngine>>());
        });
    }

    private static void AddSteps(this IServiceCollection services, RunOptions options)
    {
        services.AddSingleton<SoundCeilings>();
        services.AddSingleton<CurrentStep>();
        services.AddSingleton<OrderQueue>();
        services.AddSingleton<OrderDoor>();
        services.AddSingleton<SideAnswers>();
        services.AddSingleton(provider => new GearWorn(options.DataFolder, provider.GetRequiredService<IDurableFiles>()));
        services.AddSingleton<GearChange>();
        services.AddSingleton<StopSwitch>();
        services.AddSingleton<StepGear>();
        services.AddSingleton(new StepSettings(options.DataFolder, options.Pace));
        services.AddSingleton<KitScreenState>();
        services.AddSingleton<KitActions>();
        services.AddSingleton<CaseDesk>();
        services.AddHostedService<CaseWatch>();
    }

    private static void AddLink(this IServiceCollection services, RunOptions options)
    {
        services.AddSingleton<LiveSignals>();
        services.AddSingleton(provider => new HttpClient());
        services.AddSingleton<Enrolment>();
        services.AddSingleton<CaseLink>();
        services.AddSingleton<IHubConnector>(provider => new HubConnector(
            options.Hub,
            cancellationToken => provider.GetRequiredService<Enrolment>().ObtainAsync(options.DataFolder, options.Hub, options.EnrolmentCode, cancellationToken),
            provider.GetRequiredService<HttpClient>(),
            provider.GetRequiredService<TimeProvider>(),
            provider.GetRequiredService<ILogger<HubConnector>>()));
    }
}
