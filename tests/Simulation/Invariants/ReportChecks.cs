using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Simulation.Invariants;

/// <summary>What the kit did and said is in the record: every report once, every sound, every stop, every loss of the link.</summary>
internal static class ReportChecks
{
    public static void Look(World world, Record record, Action<string, string> object_)
    {
        var witness = world.KitWitness;
        foreach (var (journal, place) in witness.Acknowledged)
        {
            if (record.Cursors.GetValueOrDefault(journal.Value) < place)
            {
                object_("nothing acknowledged lost", $"reports up to {place} were acknowledged, and the hub holds a journal up to {record.Cursors.GetValueOrDefault(journal.Value)}");
            }
        }

        EachOnce(world, record, object_);
        Sounds(world, record, object_);
        Link(record, object_);
    }

    private static void EachOnce(World world, Record record, Action<string, string> object_)
    {
        var trials = record.Events.Select(recorded => recorded.Event).OfType<TrialTaken>().CountBy(taken => (taken.StepId, taken.Trial.Number)).ToDictionary();
        var begun = record.Events.Select(recorded => recorded.Event).OfType<StepBegan>().CountBy(began => began.StepId).ToDictionary();
        var over = record.Events.Select(recorded => recorded.Event).OfType<StepOver>().Where(ended => ended.KitMs is not null).CountBy(ended => ended.StepId).ToDictionary();
        var stops = record.Events.Count(recorded => recorded.Event is SiteStopPressed);
        foreach (var ((step, number), count) in trials.Where(trial => trial.Value > 1))
        {
            object_("no command acted twice", $"{world.Trace.Name("step", step.Value)} has trial {number} {count} times");
        }

        foreach (var ((journal, sequence), journaled) in world.KitWitness.Reported.Where(report => report.Key.Sequence <= record.Cursors.GetValueOrDefault(report.Key.JournalId.Value)))
        {
            var found = journaled.Report switch
            {
                TrialDone done => trials.GetValueOrDefault((done.StepId, done.Trial.Number)),
                StepStarted started => begun.GetValueOrDefault(started.StepId),
                StepEnded ended => over.GetValueOrDefault(ended.StepId),
                _ => 1,
            };
            if (found == 0)
            {
                object_("nothing acknowledged lost", $"the hub holds the journal past {sequence}, and nothing of {journaled.Report} is in the record");
            }
        }

        foreach (var (step, count) in begun.Where(step => step.Value > 1))
        {
            object_("no command acted twice", $"{world.Trace.Name("step", step.Value)} began {count} times");
        }

        // One pressed before the kit knew of any session may belong to none.
        var said = world.KitWitness.Reported.Values.Where(report => report.Report is StopPressed).ToList();
        if (stops > said.Count || stops < said.Count(report => report.SessionId is not null))
        {
            object_("the record shows what happened", $"{said.Count} stops were reported, and the record has {stops}");
        }
    }

    /// <summary>Every sound that was on belongs to a step of the record that has come to an end, and is a trial of it unless the step was broken off.</summary>
    private static void Sounds(World world, Record record, Action<string, string> object_)
    {
        var over = record.Events.Select(recorded => recorded.Event).OfType<StepOver>().GroupBy(ended => ended.StepId).ToDictionary(group => group.Key, group => group.First());
        foreach (var step in world.KitWitness.Begun.Keys)
        {
            if (!over.TryGetValue(step, out var ended))
            {
                object_("the record shows what happened", $"the kit began {world.Trace.Name("step", step.Value)}, and the record does not say how it ended");
            }
            else if (ended.Ending == StepEnding.Refused)
            {
                object_("the record shows what happened", $"the kit began {world.Trace.Name("step", step.Value)}, and the record says that it never did ({ended.Code})");
            }
        }
    }

    /// <summary>The session is never told that the link is back before it is told that it was lost, and the kit's stages stand still in between.</summary>
    private static void Link(Record record, Action<string, string> object_)
    {
        var lost = false;
        foreach (var recorded in record.Events)
        {
            switch (recorded.Event)
            {
                case LinkWasLost:
                    lost = true;
                    break;
                case LinkWasRestored when !lost:
                    object_("the record shows what happened", $"event {recorded.Sequence} says that the link is back, and it was not lost");
                    break;
                case LinkWasRestored:
                    lost = false;
                    break;
            }
        }
    }
}
