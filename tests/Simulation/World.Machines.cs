using TeleHearing.Hub.Storage;
using TeleHearing.Simulation.Parts;
using TeleHearing.Simulation.Scheduling;

namespace TeleHearing.Simulation;

/// <summary>The programs of a world: how they start, die, and start again on what was on their disks.</summary>
internal sealed partial class World
{
    private int _writesLeft = -1;
    private int _commitsLeft = -1;

    public void KillHub(int afterAwaits, TimeSpan away)
    {
        if (HubNow is { Machine.Alive: true } hub)
        {
            hub.Machine.Died += () => HubDied(hub, away);
            hub.Machine.DieAfter(afterAwaits);
        }
    }

    /// <summary>The hub's program is killed as a commit has become durable, before it has told anybody.</summary>
    public void KillHubCommitting(int afterCommits, TimeSpan away)
    {
        if (HubNow is { Machine.Alive: true } hub && _commitsLeft < 0)
        {
            _commitsLeft = afterCommits;
            hub.Machine.Died += () => HubDied(hub, away);
        }
    }

    public void KillKit(int afterAwaits, TimeSpan away)
    {
        if (KitNow is { Machine.Alive: true } kit)
        {
            kit.Machine.Died += () => KitDied(away);
            kit.Machine.DieAfter(afterAwaits);
        }
    }

    public void KillKitWriting(int afterWrites, TimeSpan away)
    {
        if (KitNow is { Machine.Alive: true } kit && _writesLeft < 0)
        {
            _writesLeft = afterWrites;
            kit.Machine.Died += () => KitDied(away);
        }
    }

    private void StartHub(string folder)
    {
        var machine = NewMachine("hub");
        HubNow = new HubMachine(machine, folder, _hubSeeds, _store, _planted);
        _hubs.Add(HubNow);
        Trace.Add("the hub starts");
        HubNow.Start();
    }

    private void StartKit()
    {
        var machine = NewMachine("kit");
        Trace.Add("the kit starts");
        KitWitness.Started();
        KitNow = new KitMachine(machine, _kitDisk, KitWire, this, KitWitness, _kitPeople, _seed & 0xFFFF, _probeFolder, _planted);
        KitNow.Start();
    }

    private void HubDied(HubMachine hub, TimeSpan away)
    {
        if (HubNow != hub)
        {
            return;
        }

        HubNow = null;
        _commitsLeft = -1;
        Trace.Add("the hub dies");

        // As the disk is found: what was written to the log and not synced may be torn.
        var folder = NewFolder();
        foreach (var name in (string[])[StorageRegistration.FileName, StorageRegistration.FileName + "-wal"])
        {
            var path = Path.Combine(hub.Folder, name);
            if (File.Exists(path))
            {
                File.Copy(path, Path.Combine(folder, name));
            }
        }

        var log = Path.Combine(folder, StorageRegistration.FileName + "-wal");
        if (File.Exists(log) && _machines.Next(2) == 0)
        {
            using var stream = new FileStream(log, FileMode.Append);
            var torn = new byte[_machines.Next(1, 9000)];
            _machines.NextBytes(torn);
            stream.Write(torn);
        }

        hub.Close();
        _troubleUntil = Max(_troubleUntil, Loop.Now + away);
        Loop.After(away, null, () => StartHub(folder));
    }

    private void HubCommitted(Machine machine)
    {
        if (machine == HubNow?.Machine && _commitsLeft >= 0 && _commitsLeft-- == 0)
        {
            machine.Die();
        }
    }

    private void KitDied(TimeSpan away)
    {
        if (KitNow is not { Machine.Alive: false })
        {
            return;
        }

        KitNow = null;
        _writesLeft = -1;
        Trace.Add("the kit dies");
        _kitDisk.LosePower();
        _troubleUntil = Max(_troubleUntil, Loop.Now + away);
        Loop.After(away, null, StartKit);
    }

    private Machine NewMachine(string name)
    {
        var machine = new Machine(name, Loop, NewClock(), Broke);
        _all.Add(machine);
        return machine;
    }

    private MachineClock NewClock() => new(Loop, Clinic.Begins, ((_machines.NextDouble() * 2) - 1) * MachineClock.LargestDrift);
}
