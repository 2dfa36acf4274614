using System.Reflection;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;
using TeleHearing.Contracts;
using TeleHearing.Simulation.Disk;
using TeleHearing.Simulation.Faults;
using TeleHearing.Simulation.Network;
using TeleHearing.Simulation.Scheduling;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Link;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Screen.Case;
using TeleHearing.Site.Agent.Steps;

namespace TeleHearing.Simulation.Parts;

/// <summary>One run of the kit's program: everything of it but the sound system, the screen's pages and what lies before the first message of a connection. With it the people at the site.</summary>
internal sealed class KitMachine
{
    /// <summary>Peaks of a tone that somebody just hears, from good hearing to a loss; a matter of the simulated unit and nobody's real ears.</summary>
    private static readonly float[] _hears = [0.00002f, 0.0001f, 0.0005f];

    private static readonly MethodInfo _execute = typeof(BackgroundService).GetMethod("ExecuteAsync", BindingFlags.Instance | BindingFlags.NonPublic)!;

    /// <summary>What <see cref="Start"/> runs.</summary>
    private static readonly Type[] _run = [typeof(AudioService), typeof(HubLink), typeof(StepRunner)];

    /// <summary>What it does not, and why.</summary>
    private static readonly Dictionary<string, string> _leftOut = new()
    {
        [nameof(CaseWatch)] = "Reads over HTTP what belongs into the case, and touches no session.",
    };

    // A kit without a microphone: nothing is claimed about its room, and no bank of filters hears blocks that are silent anyway.
    private static readonly Gear _gear = new(Provisioner.Kit with { Microphone = null, BoneVibrator = null }, Provisioner.Certificate(DateOnly.FromDateTime(Clinic.Begins.Date), expired: false));

    private static readonly Gear _otherGear = new(
        _gear.Kit with { UnitSerial = "SIM-UNIT-0002", TransducerSerial = "SIM-CIRC-0002" },
        _gear.Calibration! with { CertificateId = "SIM-CERT-0002", UnitSerial = "SIM-UNIT-0002", TransducerSerial = "SIM-CIRC-0002" });

    private readonly ServiceProvider _services;
    private readonly Random _people;
    private SessionStage? _marking;

    public KitMachine(Machine machine, SimDisk disk, Wire wire, IHubPlace place, KitWitness witness, Random people, int person, string probeFolder, Planted planted)
    {
        (Machine, _people) = (machine, people);
        var files = disk.For(machine);
        var credential = KitCredential.Load(Clinic.KitFolder, files) ?? throw new InvalidOperationException("The simulated kit is not enrolled.");
        var sound = new SimSound(machine, people, _hears[person % _hears.Length], witness);
        var services = new ServiceCollection();
        services.AddSingleton<ILoggerFactory>(NullLoggerFactory.Instance);
        services.AddSingleton(typeof(ILogger<>), typeof(Logger<>));
        services.AddAgent(new RunOptions(new Uri("http://hub.invalid"), Clinic.KitFolder, null, null, null, 0, Site.Agent.Audio.Simulation.QuietName, Pace.Fast, Scripted: false, null));
        services.AddSingleton<IHostApplicationLifetime>(new Lifetime());
        services.AddSingleton<TimeProvider>(machine.Clock);
        services.AddSingleton(files);
        services.AddSingleton(credential.Who.KitId == Clinic.Kit ? _gear : _otherGear);
        services.AddSingleton(new KitSound(sound, null, sound));
        services.AddSingleton(new StepSettings(probeFolder, Pace.Fast));
        services.AddSingleton<IHubConnector>(new SimConnector(machine, wire, place, witness, credential, planted));
        planted.Kit(services);
        HostedServices.Check(services, _run, _leftOut);
        _services = services.BuildServiceProvider();
        Sound = sound;
        Witness = witness;
    }

    public Machine Machine { get; }

    public SimSound Sound { get; }

    public KitWitness Witness { get; }

    public T Get<T>()
        where T : notnull => _services.GetRequiredService<T>();

    /// <summary>Starts it as its host does.</summary>
    public void Start() => Machine.Begin(() =>
    {
        var (current, screen, sides) = (Get<CurrentStep>(), Get<KitScreenState>(), Get<SideAnswers>());
        current.Changed += () => Witness.InHand(current.Now?.Order);
        screen.Changed += () => Shown(screen.Now.Scene);
        sides.Asked += () => Machine.Loop.After(TimeSpan.FromMilliseconds(_people.Next(400, 2000)), Machine, () => sides.Answer(Sound.TakeHeard()));
        Machine.Begin(() => Get<AudioEngine>().RunAsync(CancellationToken.None));
        Run(ActivatorUtilities.CreateInstance<HubLink>(_services));
        Run(ActivatorUtilities.CreateInstance<StepRunner>(_services));
    });

    /// <summary>Somebody at the site does something.</summary>
    public void AtTheSite(Action<KitActions> act) => Machine.Begin(() => act(Get<KitActions>()));

    private void Shown(KitScene? scene)
    {
        if (scene is not { SessionId: not null })
        {
            return;
        }

        Witness.Shown(scene);
        if (scene.AssistantDone || _marking == scene.Stage || !CoachCards.For(scene.Stage).CanBeDone)
        {
            return;
        }

        _marking = scene.Stage;
        Machine.Loop.After(TimeSpan.FromSeconds(2 + (8 * _people.NextDouble())), Machine, () =>
        {
            _marking = null;
            if (Get<KitScreenState>().Now.Scene is { AssistantDone: false } now && now.Stage == scene.Stage)
            {
                Get<KitActions>().MarkDone();
            }
        });
    }

    private void Run(BackgroundService service) => Machine.Begin(() => (Task)_execute.Invoke(service, [CancellationToken.None])!);

    /// <summary>A program that ends itself where it should go on is broken.</summary>
    private sealed class Lifetime : IHostApplicationLifetime
    {
        public CancellationToken ApplicationStarted => CancellationToken.None;

        public CancellationToken ApplicationStopping => CancellationToken.None;

        public CancellationToken ApplicationStopped => CancellationToken.None;

        public void StopApplication() => throw new InvalidOperationException("The kit's program ended itself.");
    }
}
