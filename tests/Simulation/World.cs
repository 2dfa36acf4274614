using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Hub.Storage;
using TeleHearing.Simulation.Disk;
using TeleHearing.Simulation.Faults;
using TeleHearing.Simulation.Invariants;
using TeleHearing.Simulation.Network;
using TeleHearing.Simulation.Parts;
using TeleHearing.Simulation.Scheduling;

namespace TeleHearing.Simulation;

/// <summary>One clinic with a hub, a kit, one or two consoles and what lies between them, from a seed: a session is walked from its beginning to its close while things go wrong.</summary>
internal sealed partial class World : IHubPlace, IDisposable
{
    /// <summary>How long after the last trouble a session may take to its close.</summary>
    private static readonly TimeSpan _patience = TimeSpan.FromMinutes(40);

    /// <summary>How long after its close what was left may take to reach the hub and be wiped.</summary>
    private static readonly TimeSpan _settling = TimeSpan.FromMinutes(2);

    /// <summary>How long an attestation that was lost on its way may take to be asked for again.</summary>
    private static readonly TimeSpan _attesting = TimeSpan.FromMinutes(1);

    /// <summary>Of eight seeds one has a second kit, console and session beside the first, where nothing goes wrong.</summary>
    private const int Beside = 8;

    private static readonly TestPlan[] _plans =
    [
        new([new EarPlan(Ear.Right, [1000])], StoppingRule.TwoOfThree, ToneShape.Pulsed),
        new([new EarPlan(Ear.Left, [1000, 4000])], StoppingRule.TwoOfThree, ToneShape.Steady),
        new([new EarPlan(Ear.Right, [1000]), new EarPlan(Ear.Left, [500, 1000])], StoppingRule.TwoOfThree, ToneShape.Pulsed),
    ];

    private readonly int _seed;
    private readonly List<string> _folders = [];
    private readonly List<HubMachine> _hubs = [];
    private readonly List<Machine> _all = [];
    private readonly List<Violation> _violations = [];
    private readonly SimDisk _kitDisk;
    private readonly Random _hubSeeds;
    private readonly Random _kitPeople;
    private readonly Random _machines;
    private readonly StoreWay _store;
    private readonly string _probeFolder;
    private readonly Planted _planted;
    private SimConsole? _second;

    public World(int seed, string probeFolder, IReadOnlyList<Fault>? faults = null, Planted? planted = null)
    {
        (_seed, _probeFolder, _planted) = (seed, probeFolder, planted ?? Planted.None);
        Loop = new Loop(Chance(1), shuffles: seed % 2 == 0);
        Trace = new Trace(() => Loop.Now);
        KitWitness = new KitWitness(Loop, Trace, "kit", Object);
        ConsoleWitness = new ConsoleWitness(Trace, Object) { CutTold = KitWitness.ToldOver };
        KitWire = NewWire(2);
        ConsoleWire = NewWire(3);
        SecondWire = NewWire(4);
        (_hubSeeds, _kitPeople, _machines) = (Chance(5), Chance(6), Chance(7));
        _store = new StoreWay(Chance(8)) { Fails = () => Loop.Now < _hubDiskFailsUntil, Committed = HubCommitted };
        _kitDisk = new SimDisk(Chance(9)) { Trouble = KitDiskTrouble };
        foreach (var (path, content) in Clinic.One.KitFiles)
        {
            _kitDisk.Put(path, content);
        }

        Faults = faults ?? FaultPlan.Draw(Chance(10));
        var folder = NewFolder();
        Clinic.One.Put(folder);
        StartHub(folder);
        StartKit();
        FirstConsole = Console("console", Clinic.One.First, ConsoleWire, 11, Clinic.One.Session, ConsoleWitness);
        if (seed % Beside == 3)
        {
            Bystander = StartBystander();
        }

        Plan();
    }

    public Loop Loop { get; }

    public Trace Trace { get; }

    public IReadOnlyList<Fault> Faults { get; }

    public Wire KitWire { get; }

    public Wire ConsoleWire { get; }

    public Wire SecondWire { get; }

    public KitWitness KitWitness { get; }

    public ConsoleWitness ConsoleWitness { get; }

    /// <summary>The hub's program that runs now, whether or not it takes connections.</summary>
    public HubMachine? HubNow { get; private set; }

    /// <summary>The kit's program that runs now.</summary>
    public KitMachine? KitNow { get; private set; }

    public SimConsole FirstConsole { get; }

    /// <summary>The console of the session beside; absent in most worlds.</summary>
    public SimConsole? Bystander { get; }

    HubMachine? IHubPlace.Hub => HubNow is { Serves: true, Machine.Alive: true } hub ? hub : null;

    /// <summary>What must never be and was.</summary>
    public IReadOnlyList<Violation> Violations => _violations;

    /// <summary>Every run of the hub's and the kit's program.</summary>
    public IReadOnlyList<HubMachine> Hubs => _hubs;

    /// <summary>Every run of every program.</summary>
    public IReadOnlyList<Machine> Machines => _all;

    /// <summary>Lets it all happen.</summary>
    public void Run()
    {
        bool over;
        do
        {
            over = Loop.Run(_troubleUntil + _patience, () => Over() && Loop.Now > _troubleUntil);
        }
        while (!over && Loop.Now < _troubleUntil + _patience);

        if (!over)
        {
            Object("recovery without a person or with one clear question", $"the session is at {FirstConsole.View?.Stage} and does not go on; {FirstConsole.Who.Name} waits for {FirstConsole.WaitsFor ?? "nothing"}{(_second is null ? string.Empty : $", {_second.Who.Name} for {_second.WaitsFor ?? "nothing"}")}{(Bystander is null || Bystander.View?.Stage == SessionStage.Closed ? string.Empty : $"; the session beside is at {Bystander.View?.Stage}, waiting for {Bystander.WaitsFor ?? "nothing"}")}");
        }

        if (over)
        {
            Settle();
        }

        Trace.Add($"over after {Loop.Steps} steps");
        EndChecks.Look(this, Object);
    }

    /// <summary>What is left reaches the hub, and the kit is wiped and attests it.</summary>
    private void Settle()
    {
        bool settled;
        do
        {
            // What goes wrong may still come when everything seems over.
            settled = Loop.Run(Max(Loop.Now, _troubleUntil) + _settling, () => KitNow?.Get<Site.Agent.Journal.KitJournal>() is { LastSequence: 0, IsOpen: true });
        }
        while (!settled && Loop.Now < _troubleUntil + _settling);

        // A kit whose attestation was lost is asked for it once more. One that was wiped before the session began has still to say it of the session.
        Loop.Run(Max(Loop.Now, _troubleUntil) + _attesting, () => KitWitness.Attested.Contains(Clinic.One.Session) && Loop.Now > _troubleUntil);
        if (!settled)
        {
            Object("wiped to the end", $"the session is over, and after {_settling.TotalMinutes:0} minutes the kit is not wiped");
        }
    }

    /// <summary>A second clinician who looks at the same session.</summary>
    public SimConsole SecondConsole() => _second ??= Console("second console", Clinic.One.Second, SecondWire, 12, Clinic.One.Session, ConsoleWitness);

    public void Dispose()
    {
        foreach (var hub in _hubs)
        {
            hub.Close();
        }

        _folders.ForEach(Folders.Remove);
    }

    /// <summary>Whether the session a console shows has come to its end, whichever.</summary>
    public static bool IsOver(SimConsole console) => console.View?.Stage is SessionStage.Closed or SessionStage.Aborted or SessionStage.Converted;

    /// <summary>A session that nobody ended early comes to its close.</summary>
    private bool Over() => IsOver(FirstConsole) && (FirstConsole.View?.Stage == SessionStage.Closed || Faults.Any(fault => fault is ClinicianEndsEarly)) && (Bystander is null || Bystander.View?.Stage == SessionStage.Closed);

    private SimConsole StartBystander()
    {
        var disk = new SimDisk(Chance(20));
        foreach (var (path, content) in Clinic.One.OtherKitFiles)
        {
            disk.Put(path, content);
        }

        var witness = new KitWitness(Loop, Trace, "the other kit", Object);
        new KitMachine(NewMachine("other kit"), disk, NewWire(21), this, witness, Chance(22), _seed & 0xFFFF, _probeFolder, Planted.None).Start();
        return Console("other console", Clinic.One.Second, NewWire(23), 24, Clinic.One.OtherSession, new ConsoleWitness(Trace, Object));
    }

    private SimConsole Console(string name, SignedInPerson who, Wire wire, int chance, SessionId session, ConsoleWitness witness)
    {
        var console = new SimConsole(NewMachine(name), wire, this, who, session, _plans[(_seed & int.MaxValue) % _plans.Length], Chance(chance), witness);
        console.Start();
        return console;
    }

    private void Broke(Machine machine, Exception fault) => Object("no program breaks", $"{machine.Name}: {fault}");

    private void Object(string rule, string what)
    {
        if (_violations.Count < 20 && !_violations.Exists(known => known.Rule == rule && known.What == what))
        {
            Trace.Add($"VIOLATION {rule}: {what}");
            _violations.Add(new Violation(rule, what, Loop.Now));
        }
    }

    private Wire NewWire(int chance)
    {
        var random = Chance(chance);
        return new Wire(Loop, random) { Delay = TimeSpan.FromMilliseconds(random.Next(2, 120)), Jitter = TimeSpan.FromMilliseconds(random.Next(0, 60)) };
    }

    private string NewFolder()
    {
        var folder = Folders.Make();
        _folders.Add(folder);
        return folder;
    }

    private Random Chance(int purpose) => new(HashCodes.Of(_seed, purpose));

    private static TimeSpan Max(TimeSpan one, TimeSpan other) => one > other ? one : other;
}
