using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Simulation.Invariants;

/// <summary>One person commands at a time, and whatever a person did, they did while they commanded. A fold of its own, of nothing but control.</summary>
internal static class ControlChecks
{
    public static void Look(World world, Record record, Action<string, string> object_)
    {
        var epochs = new List<int> { 0 };
        var epoch = 0;
        string? holder = null;
        void Epoch(RecordedEvent recorded, int to, string? by)
        {
            if (to != epoch + 1)
            {
                object_("only the highest epoch acts", $"event {recorded.Sequence} raises the epoch from {epoch} to {to}");
            }

            (epoch, holder) = (to, by);
        }

        foreach (var recorded in record.Events)
        {
            switch (recorded.Event)
            {
                case ControlTaken e:
                    if (holder is not null)
                    {
                        object_("only the highest epoch acts", $"event {recorded.Sequence} takes control while somebody has it");
                    }

                    Epoch(recorded, e.Epoch, e.Holder.Id);
                    break;
                case ControlGranted e:
                    Epoch(recorded, e.Epoch, e.To.Id);
                    break;
                case ControlTakenOver e:
                    Epoch(recorded, e.Epoch, e.By.Id);
                    break;
                case ControlHandedOver e:
                    Epoch(recorded, e.Epoch, e.To.Id);
                    break;
                case ControlLapsed e:
                    Epoch(recorded, e.Epoch, null);
                    break;
                case ControlReleased:
                    holder = null;
                    break;
                case StepOrdered e:
                    if (e.Order.ControlEpoch != epoch)
                    {
                        object_("only the highest epoch acts", $"event {recorded.Sequence} orders a step under epoch {e.Order.ControlEpoch}; it was {epoch}");
                    }

                    Holds(recorded, e.By);
                    break;
                default:
                    if (By(recorded.Event) is { } by)
                    {
                        Holds(recorded, by);
                    }

                    break;
            }

            epochs.Add(epoch);
        }

        // What was carried out was asked under the epoch that stood before it.
        foreach (var (id, receipt) in world.ConsoleWitness.Accepted)
        {
            var (envelope, _) = world.ConsoleWitness.All[id];
            var before = Array.FindIndex([.. record.Events], recorded => recorded.Sequence == receipt.SessionVersion);
            if (before >= 0 && envelope.Command is not (TakeControl or TakeOverControl) && epochs[before] != envelope.ControlEpoch)
            {
                object_("only the highest epoch acts", $"{envelope.Command.GetType().Name}, asked under epoch {envelope.ControlEpoch}, was carried out under epoch {epochs[before]}");
            }
        }

        void Holds(RecordedEvent recorded, Actor by)
        {
            if (by.Id != holder)
            {
                object_("only the highest epoch acts", $"event {recorded.Sequence}, {recorded.Event.GetType().Name}, is by somebody who did not command");
            }
        }
    }

    private static Actor? By(SessionEvent happened) => happened switch
    {
        StageAdvanced e => e.By,
        StageSteppedBack e => e.By,
        SessionHeld e => e.By,
        SessionResumed e => e.By,
        StartCardConfirmed e => e.By,
        EarLookedAt e => e.Look is null ? null : e.By,
        RoomAccepted e => e.By,
        SidesAccepted e => e.By,
        StepCutAsked e => e.By,
        ReviewRecorded e => e.By,
        HandoffRecorded e => e.By,
        _ => null,
    };
}
