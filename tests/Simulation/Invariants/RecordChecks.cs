using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Simulation.Invariants;

/// <summary>What was acknowledged to consoles is in the record, once; the chain is whole; nobody else's session was touched.</summary>
internal static class RecordChecks
{
    public static void Look(World world, Record record, Action<string, string> object_)
    {
        if (!HashChain.Verify(record.Rows, record.Version).Valid || record.Rows.Select(row => row.Sequence).SequenceEqual(Enumerable.Range(1, record.Rows.Count).Select(number => (long)number)) is false)
        {
            object_("the record is whole", "the chain of the session is broken");
        }

        if (world.Bystander is null && record.Other.Count != 1)
        {
            object_("other sessions untouched", $"the session of another person has {record.Other.Count} events in place of 1");
        }

        // What goes wrong at the hub goes wrong for everybody.
        if (world.Bystander is not null && !world.Faults.Any(fault => fault.IsOfTheHub) && record.Other.FirstOrDefault(Disturbed) is { } disturbed)
        {
            object_("other sessions untouched", $"the session of another person has a {disturbed.GetType().Name}");
        }

        if (record.Events.Any(recorded => recorded.Event is UnreadableEvent))
        {
            object_("the record is whole", "an event cannot be read");
        }

        foreach (var (id, receipt) in world.ConsoleWitness.Accepted)
        {
            if (!record.Receipts.Contains(id.Value) || record.Events.Count < receipt.SessionVersion)
            {
                object_("nothing acknowledged lost", $"{world.ConsoleWitness.All[id].Envelope.Command.GetType().Name} was acknowledged at version {receipt.SessionVersion}; the record has {record.Events.Count} events and {(record.Receipts.Contains(id.Value) ? "its" : "not its")} receipt");
            }
        }

        Twice(world, record, object_);
        if (World.IsOver(world.FirstConsole) && !record.Events.Any(recorded => recorded.Event is KitDataWiped))
        {
            object_("wiped to the end", "the session is over, and the record has no attestation that the kit is wiped");
        }
    }

    private static bool Disturbed(SessionEvent happened) => happened is LinkWasLost or SessionHeld or SessionStopped or ControlLapsed or ControlTakenOver or StepOver { Ending: not StepEnding.Completed };

    /// <summary>As many events of a kind as commands of that kind that left a receipt: none was acted twice, none was lost in between.</summary>
    private static void Twice(World world, Record record, Action<string, string> object_)
    {
        var carriedOut = world.ConsoleWitness.All.Where(asked => record.Receipts.Contains(asked.Key.Value)).Select(asked => asked.Value.Envelope.Command.GetType()).CountBy(kind => kind).ToDictionary();
        void Same<TCommand, TEvent>()
            where TEvent : SessionEvent
        {
            var (commands, events) = (carriedOut.GetValueOrDefault(typeof(TCommand)), record.Events.Count(recorded => recorded.Event is TEvent));
            if (commands != events)
            {
                object_("no command acted twice", $"{commands} {typeof(TCommand).Name} were carried out, and the record has {events} {typeof(TEvent).Name}");
            }
        }

        Same<OrderStep, StepOrdered>();
        Same<ConfirmIdentity, StartCardConfirmed>();
        Same<AcceptRoom, RoomAccepted>();
        Same<RecordEarLook, EarLookedAt>();
        Same<RecordReview, ReviewRecorded>();
        Same<RecordHandoff, HandoffRecorded>();
        Same<Hold, SessionHeld>();
        Same<Resume, SessionResumed>();
        Same<TakeOverControl, ControlTakenOver>();
        Same<TakeControl, ControlTaken>();
        Same<CutStep, StepCutAsked>();
        Same<Abort, SessionAborted>();
        var first = record.Events.Any(recorded => recorded.Event is StageAdvanced { From: SessionStage.Scheduled }) ? 1 : 0;
        var advanced = record.Events.Count(recorded => recorded.Event is StageAdvanced) - first;
        if (carriedOut.GetValueOrDefault(typeof(Advance)) != advanced)
        {
            object_("no command acted twice", $"{carriedOut.GetValueOrDefault(typeof(Advance))} Advance were carried out, and the record has {advanced} more stages");
        }
    }
}
