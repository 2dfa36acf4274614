using TeleHearing.Contracts;
using TeleHearing.Simulation.Disk;
using TeleHearing.Simulation.Faults;
using TeleHearing.Simulation.Network;
using TeleHearing.Simulation.Parts;

namespace TeleHearing.Simulation;

/// <summary>What goes wrong in a world, and what somebody does out of turn.</summary>
internal sealed partial class World
{
    private TimeSpan _troubleUntil;
    private TimeSpan _kitDiskFullUntil;
    private TimeSpan _hubDiskFailsUntil;
    private int _messages;

    public void FillKitDisk(TimeSpan length) => _kitDiskFullUntil = Loop.Now + length;

    public void FailHubDisk(TimeSpan length) => _hubDiskFailsUntil = Loop.Now + length;

    public void PressStop()
    {
        if (KitNow is { Machine.Alive: true } kit)
        {
            Trace.Add("stop is pressed at the site");
            AtTheSite(kit, site => site.Stop());
        }
    }

    public void TakeConsentBack()
    {
        if (KitNow is { Machine.Alive: true } kit)
        {
            Trace.Add("consent is taken back at the site");
            AtTheSite(kit, site => site.TakeConsentBack());
        }
    }

    /// <summary>A stop is noted as it reaches the kit's program, and once more when its disk took it.</summary>
    private void AtTheSite(KitMachine kit, Action<Site.Agent.Screen.KitActions> stop) => kit.AtTheSite(site =>
    {
        KitWitness.StopReached();
        if (!_planted.KitIgnoresStop)
        {
            stop(site);
        }

        if (Loop.Now >= _kitDiskFullUntil && kit.Machine.Alive)
        {
            KitWitness.StopKept();
        }
    });

    private void Plan()
    {
        foreach (var fault in Faults)
        {
            if (fault.When is Moment.At at)
            {
                Loop.At(at.Time.Ticks, null, _ => Apply(fault), null);
            }
        }

        foreach (var wire in (Wire[])[KitWire, ConsoleWire])
        {
            wire.Sent += message =>
            {
                if (message is nameof(IKitClient.RenewLease) or nameof(IKitHub.Signal) or "RenewControl")
                {
                    return;
                }

                _messages++;
                foreach (var fault in Faults.Where(fault => fault.When is Moment.Message { Number: var number } && number == _messages))
                {
                    Loop.Post(null, _ => Apply(fault), null);
                }
            };
        }
    }

    private void Apply(Fault fault)
    {
        Trace.Add($"fault: {fault}");
        _troubleUntil = Max(_troubleUntil, Loop.Now + fault.Lasts);
        fault.Apply(this);
    }

    private DiskTrouble KitDiskTrouble()
    {
        if (_writesLeft >= 0 && _writesLeft-- == 0)
        {
            return DiskTrouble.Death;
        }

        return Loop.Now < _kitDiskFullUntil ? DiskTrouble.Full : DiskTrouble.None;
    }
}
