using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Folds what happens to a kit on its way. Pure. It asks no machine: what was recorded has happened, also when the rules change later.</summary>
internal static class JourneyFold
{
    public static KitState Apply(KitState state, RecordedFact recorded)
    {
        var at = recorded.At;
        return recorded.Fact switch
        {
            KitDrafted => To(state, KitStage.Draft, at),
            KitCommissioned => To(state, KitStage.Commissioned, at) with { Checked = false },
            KitReleased => To(state, Shelf(state.Loans), at),
            KitRetired => To(state, KitStage.Retired, at),
            HoldPlaced hold => ParcelFold.TakenOut(state, recorded, hold.By) with { HoldsByHand = state.HoldsByHand.SetItem(hold.Kind, hold) },
            HoldLifted hold => state with { HoldsByHand = state.HoldsByHand.Remove(hold.Kind), Unwiped = hold.Kind == KitHoldKind.DataNotWiped ? [] : state.Unwiped },
            WipeAwaited awaited => state with { Unwiped = state.Unwiped.Contains(awaited.SessionId) ? state.Unwiped : state.Unwiped.Add(awaited.SessionId) },
            DataWiped wiped => state with { Unwiped = state.Unwiped.RemoveAll(wiped.Sessions.Contains) },
            KitReserved or LoanCalledOff or LoanExtended or LoanPaperSigned or LoanConsentTakenBack or ReminderTaken or LoanBegun or LoanEnded => LoanFold.Apply(state, recorded),
            KitPacked or KitStaged or KitSent or CarrierSaid or KitCheckedIn or KitPackedUp or KitReceived => ParcelFold.Apply(state, recorded),
            KitTakenIntoUse use => Used(state, use, recorded),
            SessionPackUpNoted => state with { PackUpNoted = true },
            KitSetDown down => SetDown(state, down, recorded),
            KitQuarantined put => To(state, KitStage.Quarantine, at) with { QuarantineUntil = put.Until },
            CleaningBegun cleaning => To(ParcelFold.TakenOut(state, recorded, cleaning.By), KitStage.Cleaning, at) with { Turnaround = [], Checked = false },
            TurnaroundSigned signed => Signed(state, signed, at),
            FunctionChecked check => FunctionCheck(state, check, recorded),
            RepairBegun repair => To(ParcelFold.TakenOut(state, recorded, repair.By), KitStage.Repair, at) with { Fault = repair.Fault, Checked = false },
            RepairFinished repair => To(state, KitStage.Inspection, at) with { Checked = false, PartsReplacedOn = repair.PartsReplaced ? KitJudgement.Day(at) : state.PartsReplacedOn },
            SentToLaboratory sent => To(ParcelFold.TakenOut(state, recorded, sent.By), KitStage.AtCalibration, at) with { Laboratory = new LaboratoryStay(sent.Laboratory, at, sent.ExpectedBack), Checked = false },
            TakenFromLaboratory => To(state, KitStage.Inspection, at) with { Checked = false },
            ParcelMissing missing => LoanFold.Step(To(state, KitStage.MissingParcel, at), recorded, "missing", missing.By),
            KitGone gone => LoanFold.End(To(state, gone.Stolen ? KitStage.Stolen : KitStage.Lost, at), recorded, gone.Stolen ? "stolen" : "lost", gone.By),
            KitFound found => Back(LoanFold.End(state, recorded, "received", found.By), at, found.By),
            ContentsSet contents => state with { Items = contents.Items, InCase = state.InCase.RemoveRange(state.InCase.Keys.Except(contents.Items.Select(item => item.ItemId))) },
            KitCounted counted => Counted(state, CountOccasion.Stock, at, counted.By, counted.Counts, counted.Photo),
            EntryCorrected corrected => Corrected(state, corrected, at),
            _ => state,
        };
    }

    /// <summary>The kit at another stage; what belonged to the stage before is gone.</summary>
    internal static KitState To(KitState state, KitStage stage, DateTimeOffset at) => state with
    {
        Stage = stage,
        StageSince = at,
        QuarantineUntil = null,
        Laboratory = null,
        Fault = null,
    };

    /// <summary>Where a kit stands that is free: promised or not.</summary>
    internal static KitStage Shelf(IReadOnlyList<KitLoan> loans) => loans.Count > 0 ? KitStage.Reserved : KitStage.Available;

    /// <summary>The kit is back: it was in other hands, so it is to be cleaned and checked.</summary>
    internal static KitState Back(KitState state, DateTimeOffset at, Actor by) => To(state, KitStage.Received, at) with
    {
        Checked = false,
        UsedSinceCleaning = true,
        MovedAt = at,
        LastReceipt = (at, by.Name),
        Turnaround = [],
    };

    /// <summary>A count of the case; an item that is not named stays as it was.</summary>
    internal static KitState Counted(KitState state, CountOccasion occasion, DateTimeOffset at, Actor by, IReadOnlyList<ItemCount> counts, string? photo) => counts.Count == 0 && photo is null
        ? state
        : state with
        {
            InCase = state.InCase.SetItems(counts.Select(line => KeyValuePair.Create(line.ItemId, line.Count))),
            Counts = [.. state.Counts.Where(known => known.Occasion != occasion), new KitCount(at, by.Name, occasion, counts, photo)],
        };

    private static KitState Used(KitState state, KitTakenIntoUse use, RecordedFact recorded)
    {
        var next = KitStages.ServesAnybody(state.Stage) ? To(state, KitStage.InUse, recorded.At) : state;
        next = next with { InSession = use.SessionId, PackUpNoted = false, UsedSinceCleaning = true, LastUse = use.SessionId };
        next = use.AwaitsWipe && !next.Unwiped.Contains(use.SessionId) ? next with { Unwiped = next.Unwiped.Add(use.SessionId) } : next;
        return LoanFold.Step(LoanFold.InHand(next, loan => loan with { PackedUp = false }), recorded, "in-use", use.By);
    }

    private static KitState SetDown(KitState state, KitSetDown down, RecordedFact recorded)
    {
        var next = state with { InSession = null, PackUpNoted = false };
        if (state.Stage != KitStage.InUse)
        {
            return next;
        }

        var stage = state.InHand is null ? Shelf(state.Loans) : down.AwaitsReturn ? KitStage.AwaitingReturn : KitStage.CheckedInAtSite;
        return LoanFold.Step(To(next, stage, recorded.At), recorded, "set-down", down.By);
    }

    private static KitState Signed(KitState state, TurnaroundSigned signed, DateTimeOffset at)
    {
        var next = state with
        {
            Turnaround = [.. state.Turnaround, new TurnaroundEntry(signed.Step, at, signed.By.Name, signed.Answers, signed.Counts, signed.SkippedBecause, signed.Note)],
        };
        return signed.Step switch
        {
            KitStage.Cleaning => Cleaned(Discarded(next, signed.Counts), signed, at),
            KitStage.Inspection when signed.Passed() => To(Counted(next, CountOccasion.Inspected, at, signed.By, signed.Counts, null), KitStage.Restock, at),
            KitStage.Inspection => To(Counted(next, CountOccasion.Inspected, at, signed.By, signed.Counts, null), KitStage.Repair, at) with { Fault = signed.Note },
            KitStage.Restock => To(Counted(next, CountOccasion.Restocked, at, signed.By, signed.Counts, null), KitStage.FunctionCheck, at),
            _ => next,
        };
    }

    /// <summary>Clean: on to the inspection, or between two persons where it stands. A step that was skipped cleans nothing a person wore.</summary>
    private static KitState Cleaned(KitState state, TurnaroundSigned signed, DateTimeOffset at)
    {
        var next = state.Stage == KitStage.Cleaning ? To(state, KitStage.Inspection, at) : state;
        return signed.SkippedBecause is not null && state.LastUse is not null ? next : next with { UsedSinceCleaning = false, LastUse = null };
    }

    private static KitState Discarded(KitState state, IReadOnlyList<ItemCount> discarded) => state with
    {
        InCase = state.InCase.SetItems(discarded
            .Where(line => state.InCase.ContainsKey(line.ItemId))
            .Select(line => KeyValuePair.Create(line.ItemId, Math.Max(0, state.InCase[line.ItemId] - line.Count)))),
    };

    private static KitState FunctionCheck(KitState state, FunctionChecked check, RecordedFact recorded) => KitJudgement.Passed(check)
        ? state with { Checked = true }
        : state.Stage == KitStage.FunctionCheck
        ? To(state, KitStage.Repair, recorded.At) with { Checked = false, Fault = check.Note }
        : ParcelFold.TakenOut(state, recorded, check.By) with { Checked = false };

    /// <summary>What an entry had put into the log of a loan. It stays to be read there, struck through, though the loan goes on without it.</summary>
    private static IEnumerable<EntryTakenBack> TakenBack(KitState state, long sequence) =>
        from loan in state.Loans.Concat(state.PastLoans)
        let step = loan.Steps.FirstOrDefault(known => known.Sequence == sequence)
        let said = loan.Carrier.FirstOrDefault(known => known.Sequence == sequence)
        where step is not null || said is not null
        select new EntryTakenBack(loan.LoanId, step, said);

    /// <summary>An entry taken back: the kit is folded again without it. All facts stay in the history, and the number of facts counts on.</summary>
    private static KitState Corrected(KitState state, EntryCorrected corrected, DateTimeOffset at)
    {
        var corrections = state.Corrections.Append(new EntryCorrection(corrected.Sequence, at, corrected.By.Name, corrected.DidNotOccur, corrected.TakesBack, corrected.Reason)).ToList();
        if (!corrected.TakesBack)
        {
            return state with { Corrections = corrections };
        }

        // Corrections among the facts that stay are not applied again: the list of them is complete here, and each entry taken back is left out.
        var without = corrections.Where(known => known.TakesBack).Select(known => known.Sequence).ToHashSet();
        var again = state.History
            .Where(recorded => recorded.Fact is not EntryCorrected && !without.Contains(recorded.Sequence))
            .Aggregate(KitState.Empty(state.KitId), KitFold.Apply);
        return again with
        {
            History = state.History,
            Version = state.Version,
            BrokenAt = state.BrokenAt,
            Corrections = corrections,
            TakenBack = [.. state.TakenBack, .. TakenBack(state, corrected.Sequence)],
        };
    }
}
