using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>Writes a kit's entries as events, in their order. Pure: the same entries give the same events.</summary>
internal static class EpcisHistory
{
    /// <param name="kitId">Kit.</param>
    /// <param name="entries">Its entries, oldest first.</param>
    /// <param name="ids">Makes the ids.</param>
    /// <param name="zone">The clinic's zone.</param>
    /// <param name="limits">What readings of parcels are held against.</param>
    public static IReadOnlyList<EpcisEvent> Of(KitId kitId, IReadOnlyList<RecordedFact> entries, EpcisIds ids, TimeZoneInfo zone, ParcelLimits limits)
    {
        var (events, hierarchy, state) = (new List<EpcisEvent>(), new EpcisHierarchy(), KitState.Empty(kitId));
        for (var index = 0; index < entries.Count; index++)
        {
            var entry = entries[index];
            var next = KitFold.Apply(state, entry);
            var recorded = TimeZoneInfo.ConvertTime(entry.At, zone);
            var made = entry.Fact is EntryCorrected corrected
                ? Declared(kitId, events, corrected, recorded, entries, index, ids)
                : [.. EpcisMapping.Of(entry, new EpcisScene(state, next, hierarchy, ids, limits)).Select((draft, part) => draft with
                {
                    Id = ids.Event(kitId, entry.Sequence, part),
                    Time = Happened(entry, zone),
                    Recorded = recorded,
                    Entry = entry.Sequence,
                    Extensions = [("kit:entry", entry.Sequence), ("kit:fact", KitFactCatalog.Write(entry.Fact).Name), .. draft.Extensions],
                })];
            foreach (var happened in made)
            {
                hierarchy.Add(happened);
                events.Add(happened);
            }

            state = next;
        }

        return events;
    }

    /// <summary>When an entry happened. Never later than it was recorded: what lies ahead has not happened.</summary>
    private static DateTimeOffset Happened(RecordedFact entry, TimeZoneInfo zone)
    {
        var recorded = TimeZoneInfo.ConvertTime(entry.At, zone);
        var happened = entry.Fact switch
        {
            CarrierSaid said => TimeZoneInfo.ConvertTime(said.HappenedAt, zone),
            // Of a parcel handed over on an earlier day the day alone is known, and the end of that day is the one moment by which it was true; kit:localDay says so.
            KitSent sent when sent.On < DateOnly.FromDateTime(recorded.DateTime) => EndOf(sent.On, zone),
            _ => recorded,
        };
        return happened < recorded ? happened : recorded;
    }

    private static DateTimeOffset EndOf(DateOnly day, TimeZoneInfo zone)
    {
        var local = day.ToDateTime(new TimeOnly(23, 59, 59));
        return new DateTimeOffset(local, zone.IsInvalidTime(local) ? zone.BaseUtcOffset : zone.GetUtcOffset(local));
    }

    /// <summary>The events of a wrong entry once more, each with the declaration that it is wrong. By the standard such an event is the same in all else, its id too (EPCIS 2.0, section 7.4.1).</summary>
    private static List<EpcisEvent> Declared(KitId kitId, List<EpcisEvent> events, EntryCorrected corrected, DateTimeOffset at, IReadOnlyList<RecordedFact> entries, int index, EpcisIds ids)
    {
        var wrong = events.Where(happened => happened.Entry == corrected.Sequence && happened.Error is null).ToList();
        IReadOnlyList<string> right = !corrected.DidNotOccur && wrong.Count > 0 && Replacement(entries, corrected.Sequence, index) is { } entry ? [ids.Event(kitId, entry.Sequence, 0)] : [];
        return [.. wrong.Select(happened => happened with { Recorded = at, Error = new EpcisError(at, corrected.DidNotOccur, right) })];
    }

    /// <summary>The entry that says what was right: the one made next after the correction, if it is of the same kind and the same loan. The log itself draws no line between them, so nothing further off is taken for it.</summary>
    private static RecordedFact? Replacement(IReadOnlyList<RecordedFact> entries, long wrong, int correction)
    {
        if (correction + 1 >= entries.Count || entries.FirstOrDefault(entry => entry.Sequence == wrong) is not { } before)
        {
            return null;
        }

        var after = entries[correction + 1];
        return after.Fact.GetType() == before.Fact.GetType() && LoanOf(after.Fact) == LoanOf(before.Fact) ? after : null;
    }

    private static LoanId? LoanOf(KitFact fact) => fact switch
    {
        KitReserved of => of.LoanId,
        LoanCalledOff of => of.LoanId,
        LoanExtended of => of.LoanId,
        LoanPaperSigned of => of.LoanId,
        LoanConsentTakenBack of => of.LoanId,
        ReminderTaken of => of.LoanId,
        KitPacked of => of.LoanId,
        KitStaged of => of.LoanId,
        KitSent of => of.LoanId,
        CarrierSaid of => of.LoanId,
        KitCheckedIn of => of.LoanId,
        KitPackedUp of => of.LoanId,
        KitReceived of => of.LoanId,
        _ => null,
    };
}
