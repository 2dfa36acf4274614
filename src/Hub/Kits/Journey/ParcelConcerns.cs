using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>What somebody must see to because of how a parcel travelled and what was found in it, as sentences. Pure.</summary>
internal static class ParcelConcerns
{
    /// <summary>Things that a count on a loan did not find; absent when all was there, nobody counted, or the kit was looked over since.</summary>
    public static string? Missing(KitState state)
    {
        var back = state.Stage is KitStage.Received or KitStage.Quarantine or KitStage.Cleaning or KitStage.Inspection or KitStage.Repair;
        var loan = state.LoanInHand ?? (back ? state.PastLoans.LastOrDefault(past => past.Ended == "received" && past.Steps.LastOrDefault()?.At == state.LastReceipt?.At) : null);
        if (loan is null || Counted(state, loan, CountOccasion.CheckedIn, CountOccasion.PackedUp, CountOccasion.Received) is not { } count
            || state.Counts.Any(later => later.At > count.At && later.Occasion is CountOccasion.Inspected or CountOccasion.Restocked or CountOccasion.Stock))
        {
            return null;
        }

        // Held against what was packed, and against what must be there when nobody counted at packing. What is used up with a person is short on the way back, and that is as it should be.
        var packed = Counted(state, loan, CountOccasion.Packed);
        var missing = (from line in count.Counts
                       join item in state.Items on line.ItemId equals item.ItemId
                       let sent = packed?.Counts.FirstOrDefault(known => known.ItemId == line.ItemId)?.Count ?? item.ParCount
                       where line.Count < sent && (count.Occasion == CountOccasion.CheckedIn || !item.SingleUse)
                       select string.Create(CultureInfo.InvariantCulture, $"{item.Kind} ({line.Count} of {sent})")).ToList();
        return missing.Count == 0 ? null
            : count.Occasion == CountOccasion.CheckedIn ? $"The site misses something it was sent: {string.Join(", ", missing)}. Ask {loan.Place}, and send what it needs."
            : $"Something did not go back into the case at {loan.Place}: {string.Join(", ", missing)}. Ask there for it, or replace it.";
    }

    /// <summary>Readings of a parcel outside their limits that no good function check followed; absent without one.</summary>
    public static string? Alarm(KitState state, ParcelLimits limits)
    {
        var good = state.FunctionChecks.Where(check => KitJudgement.Passed(check.Fact)).Select(check => (DateTimeOffset?)check.At).LastOrDefault();
        var alarm = state.Loans.Concat(state.PastLoans)
            .SelectMany(loan => loan.Carrier)
            .Where(entry => entry.Readings is { } read && (limits.TooColdOrHot(read) || limits.TooHard(read)) && (good is null || entry.At > good))
            .MaxBy(entry => entry.At);
        return alarm is not { Readings: { } readings }
            ? null
            : string.Create(CultureInfo.InvariantCulture, $"The sensor in its parcel read {Words(readings, limits)}. Let the kit come to the temperature of the room, look it over, and do a function check before it is used.");
    }

    private static string Words(ParcelReadings readings, ParcelLimits limits)
    {
        var words = new List<string>();
        if (limits.TooColdOrHot(readings))
        {
            var read = new[] { readings.LowestC, readings.HighestC }.OfType<double>().Distinct().Select(celsius => string.Create(CultureInfo.InvariantCulture, $"{celsius:0.#} °C"));
            words.Add(string.Create(CultureInfo.InvariantCulture, $"{string.Join(" to ", read)}, outside {limits.LowestC:0.#} to {limits.HighestC:0.#} °C"));
        }

        if (limits.TooHard(readings))
        {
            words.Add(string.Create(CultureInfo.InvariantCulture, $"a shock of {readings.HighestShockG:0.#} times 9.81 m/s², more than {limits.HighestShockG:0.#}"));
        }

        return string.Join(", and ", words);
    }

    // A count belongs to a loan when a step of the loan was made with it.
    private static KitCount? Counted(KitState state, KitLoan loan, params IEnumerable<CountOccasion> occasions) => state.Counts
        .Where(count => occasions.Contains(count.Occasion) && count.Counts.Count > 0 && loan.Steps.Any(step => step.Name == Step(count.Occasion) && step.At == count.At))
        .MaxBy(count => count.At);

    private static string Step(CountOccasion occasion) => occasion switch
    {
        CountOccasion.Packed => "packed",
        CountOccasion.CheckedIn => "checked-in",
        CountOccasion.PackedUp => "packed-up",
        _ => "received",
    };
}
