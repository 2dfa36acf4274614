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
        AsOftenAsSaid(world, record, object_);
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

        foreach (var (step, count) in over.Where(step => step.Value > 1))
        {
            object_("no command acted twice", $"{world.Trace.Name("step", step.Value)} was over {count} times");
        }

        // One pressed before the kit knew of any session may belong to none.
        var said = world.KitWitness.Reported.Values.Where(report => report.Report is StopPressed).ToList();
        if (stops > said.Count || stops < said.Count(report => report.SessionId is not null))
        {
            object_("the record shows what happened", $"{said.Count} stops were reported, and the record has {stops}");
        }
    }

    /// <summary>What the kit said of a step or a card is in the record as often as it was said, and not once more.</summary>
    private static void AsOftenAsSaid(World world, Record record, Action<string, string> object_)
    {
        var said = world.KitWitness.Reported.Values.Select(Told).OfType<Fact>().CountBy(fact => fact).ToDictionary();
        var held = world.KitWitness.Reported.Where(report => report.Key.Sequence <= record.Cursors.GetValueOrDefault(report.Key.JournalId.Value)).Select(report => Told(report.Value)).OfType<Fact>().CountBy(fact => fact);
        var recorded = record.Events.Select(recorded => Kept(recorded.Event)).OfType<Fact>().CountBy(fact => fact).ToDictionary();
        foreach (var (fact, count) in recorded.Where(fact => fact.Value > said.GetValueOrDefault(fact.Key)))
        {
            object_("every report once", $"the record has {count} times, and the kit said {said.GetValueOrDefault(fact)} times: {fact}");
        }

        foreach (var (fact, count) in held.Where(fact => fact.Value > recorded.GetValueOrDefault(fact.Key)))
        {
            object_("nothing acknowledged lost", $"the hub holds {count} times, and the record has {recorded.GetValueOrDefault(fact)} times: {fact}");
        }
    }

    private static Fact? Told(JournaledReport journaled) => journaled.Report switch
    {
        StepStarted e => new Fact("begun", e.StepId, 0, journaled.KitMs),
        TrialDone e => new Fact("trial", e.StepId, e.Trial.Number, journaled.KitMs),
        ThresholdFound e => new Fact($"threshold {e.Threshold.Ear}", e.Threshold.StepId, e.Threshold.FrequencyHz, journaled.KitMs),
        StepEnded e => new Fact($"over {e.Ending}", e.StepId, 0, journaled.KitMs),
        AssistantDone e => new Fact($"card {e.Stage}", null, 0, journaled.KitMs),
        _ => null,
    };

    private static Fact? Kept(SessionEvent happened) => happened switch
    {
        StepBegan e => new Fact("begun", e.StepId, 0, e.KitMs),
        TrialTaken e => new Fact("trial", e.StepId, e.Trial.Number, e.KitMs),
        ThresholdMeasured e => new Fact($"threshold {e.Threshold.Ear}", e.Threshold.StepId, e.Threshold.FrequencyHz, e.KitMs),
        StepOver { KitMs: { } kitMs } e => new Fact($"over {e.Ending}", e.StepId, 0, kitMs),
        CardMarkedDone e => new Fact($"card {e.Stage}", null, 0, e.KitMs),
        _ => null,
    };

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

    /// <summary>What tells one report from another.</summary>
    private sealed record Fact(string Kind, StepId? StepId, int Number, double KitMs);
}
