using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>A kit as an intake needs it.</summary>
/// <param name="State">The kit; facts the intake itself comes to are folded into it.</param>
/// <param name="Context">What a decision about it needs.</param>
/// <param name="Whole">Whether its facts are whole; nothing is added to others.</param>
/// <param name="OwnEvents">Ids of the events its own history is written as.</param>
internal sealed record EpcisKit(KitState State, KitContext Context, bool Whole, IReadOnlySet<string> OwnEvents);

/// <summary>What events of somebody else come to.</summary>
/// <param name="Lines">What becomes of each.</param>
/// <param name="KitFacts">Facts of kits.</param>
/// <param name="FleetFacts">Facts of the fleet: what is kept aside.</param>
internal sealed record EpcisTaken(IReadOnlyList<EpcisLine> Lines, IReadOnlyDictionary<KitId, IReadOnlyList<KitFact>> KitFacts, IReadOnlyList<FleetFact> FleetFacts);

/// <summary>Decides what events of somebody else come to: what a carrier says goes through the same decider as what a coordinator types; all else is kept aside. Pure.</summary>
internal sealed class EpcisIntake
{
    private readonly Dictionary<KitId, EpcisKit> _kits;
    private readonly HashSet<string> _aside;
    private readonly Func<string, KitId?> _known;
    private readonly Actor _by;
    private readonly List<EpcisLine> _lines = [];
    private readonly Dictionary<KitId, IReadOnlyList<KitFact>> _kitFacts = [];
    private readonly List<FleetFact> _fleetFacts = [];

    private EpcisIntake(IReadOnlyDictionary<KitId, EpcisKit> kits, FleetState fleet, Func<string, KitId?> known, Actor by)
    {
        _kits = new Dictionary<KitId, EpcisKit>(kits);
        _aside = [.. fleet.Foreign.Select(kept => kept.Fact.EventId)];
        _known = known;
        _by = by;
    }

    /// <param name="events">The events.</param>
    /// <param name="kits">The kits they may be about.</param>
    /// <param name="fleet">The fleet.</param>
    /// <param name="known">Which kit an id means.</param>
    /// <param name="by">Who handed them in.</param>
    public static EpcisTaken Take(IReadOnlyList<ForeignEvent> events, IReadOnlyDictionary<KitId, EpcisKit> kits, FleetState fleet, Func<string, KitId?> known, Actor by)
    {
        var intake = new EpcisIntake(kits, fleet, known, by);

        // In the order in which it happened; the word that something was wrong comes after all that may be meant.
        foreach (var happened in events.OrderBy(read => read.DeclaredWrong is not null).ThenBy(read => read.Time).ThenBy(read => read.Place))
        {
            intake.Take(happened);
        }

        return new EpcisTaken([.. intake._lines.OrderBy(line => line.Event)], intake._kitFacts, intake._fleetFacts);
    }

    private void Take(ForeignEvent happened)
    {
        if (_kits.Values.FirstOrDefault(kit => kit.OwnEvents.Contains(happened.Id)) is { } own)
        {
            Say(happened, EpcisOutcome.KnownAlready, own.State.KitId, "This is an event of this clinic's own history.");
        }
        else if (happened.DeclaredWrong is { } didNotOccur)
        {
            Correct(happened, didNotOccur);
        }
        else if (Carried(happened.Id) is { } known)
        {
            Say(happened, EpcisOutcome.KnownAlready, known.Kit.State.KitId, "It was recorded before.");
        }
        else
        {
            Record(happened);
        }
    }

    private void Record(ForeignEvent happened)
    {
        var kits = happened.About.Select(_known).OfType<KitId>().Distinct().ToList();
        if (kits.Count != 1)
        {
            Keep(happened, happened.Id, null, kits.Count == 0 ? "It is about no kit of this clinic." : $"It is about several kits at once: {string.Join(", ", kits)}. Record it by hand where it is right.");
            return;
        }

        var kit = _kits[kits[0]];
        if (!kit.Whole)
        {
            Keep(happened, happened.Id, kits[0], "What is recorded about this kit was changed from outside, so nothing is added to it.");
        }
        else if (happened.Status is not { } status)
        {
            Keep(happened, happened.Id, kits[0], "It says nothing of the parcel's way that could be recorded.");
        }
        else if (kit.State.InHand is not { } loan)
        {
            Keep(happened, happened.Id, kits[0], $"By its record {kits[0]} is {KitStages.InWords(kit.State.Stage)} and with no loan, so no carrier has it.");
        }
        else
        {
            Ask(happened, kit, status, new RecordCarrier(loan, status, happened.Reason, happened.Where, happened.Time, EntryMeans.Reported, happened.Readings));
        }
    }

    private void Ask(ForeignEvent happened, EpcisKit kit, CarrierStatus status, RecordCarrier command)
    {
        var (kitId, faults) = (kit.State.KitId, new Faults());
        JourneyCommandValidator.Check(command, faults);
        if (faults.All.Count > 0)
        {
            Keep(happened, happened.Id, kitId, string.Join(" ", faults.All));
        }
        else if (KitDecider.Decide(kit.State, command, _by, kit.Context) is { Refusal: { } refusal })
        {
            Keep(happened, happened.Id, kitId, refusal.Sentence);
        }
        else
        {
            var facts = KitDecider.Decide(kit.State, command, _by, kit.Context).Facts;
            Append(kit, [.. facts.Select(fact => fact is CarrierSaid said ? said with { EventId = happened.Id } : fact)]);
            Say(happened, EpcisOutcome.Taken, kitId, string.Create(CultureInfo.InvariantCulture, $"The carrier said of {kitId}: {EpcisWords.InWords(status)}, on {happened.Time:d MMMM yyyy} at {happened.Time:HH:mm}."));
        }
    }

    private void Correct(ForeignEvent happened, bool didNotOccur)
    {
        if (Carried(happened.Id) is not { } found)
        {
            Keep(happened, happened.Id + "#error", happened.About.Select(_known).FirstOrDefault(kit => kit is not null), "It declares an event wrong that was never recorded with a kit here.");
            return;
        }

        var (kit, sequence) = found;
        if (kit.State.Corrections.Any(known => known.Sequence == sequence))
        {
            Say(happened, EpcisOutcome.KnownAlready, kit.State.KitId, "The entry is marked as wrong already.");
            return;
        }

        var reason = didNotOccur ? "Its sender declared the event as one that did not occur." : "Its sender declared that something in the event is wrong.";
        var decision = KitDecider.Decide(kit.State, new CorrectEntry(sequence, didNotOccur, reason), _by, kit.Context);
        if (!kit.Whole || decision.Refusal is not null)
        {
            Keep(happened, happened.Id + "#error", kit.State.KitId, decision.Refusal?.Sentence ?? "What is recorded about this kit was changed from outside, so nothing is added to it.");
            return;
        }

        Append(kit, decision.Facts);
        Say(happened, EpcisOutcome.Corrected, kit.State.KitId, string.Create(CultureInfo.InvariantCulture, $"Entry {sequence} of {kit.State.KitId}: {reason}"));
    }

    private (EpcisKit Kit, long Sequence)? Carried(string eventId) => _kits.Values
        .SelectMany(kit => kit.State.History.Where(entry => entry.Fact is CarrierSaid said && said.EventId == eventId).Select(entry => ((EpcisKit, long)?)(kit, entry.Sequence)))
        .FirstOrDefault();

    private void Append(EpcisKit kit, IReadOnlyList<KitFact> facts)
    {
        var (state, kitId) = (kit.State, kit.State.KitId);
        foreach (var fact in facts)
        {
            state = KitFold.Apply(state, new RecordedFact(state.Version + 1, kit.Context.Now, fact));
        }

        _kits[kitId] = kit with { State = state };
        _kitFacts[kitId] = [.. _kitFacts.GetValueOrDefault(kitId) ?? [], .. facts];
    }

    // An event that waits aside is tried anew each time it comes, since the kit may have become known or been sent in the meantime; it is kept once.
    private void Keep(ForeignEvent happened, string key, KitId? kitId, string why)
    {
        if (!_aside.Add(key))
        {
            Say(happened, EpcisOutcome.KnownAlready, kitId, "It is kept aside already. " + why);
            return;
        }

        _fleetFacts.Add(new ForeignEventKept(key, kitId?.Value ?? happened.About.FirstOrDefault() ?? "nothing it names", happened.Json, why, _by));
        Say(happened, EpcisOutcome.KeptAside, kitId, why);
    }

    private void Say(ForeignEvent happened, EpcisOutcome outcome, KitId? kitId, string sentence) => _lines.Add(new EpcisLine(happened.Place, happened.Id, outcome, kitId, sentence));
}
