namespace TeleHearing.Simulation.Invariants;

/// <summary>What must hold of the record once everything is over.</summary>
internal static class EndChecks
{
    public static void Look(World world, Action<string, string> object_)
    {
        foreach (var machine in world.Machines.Where(machine => machine.Strayed is not null))
        {
            object_("same seed, same trace", $"something of {machine.Name} ran on another thread: {machine.Strayed}");
        }

        var record = Record.Read(world);
        RecordChecks.Look(world, record, object_);
        ReportChecks.Look(world, record, object_);
        ControlChecks.Look(world, record, object_);
        GateChecks.Look(record, object_);
    }
}
