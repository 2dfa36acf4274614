using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Journey;

/// <summary>What a sensible coordinator does to bring a kit back onto the shelf from wherever it stands, one act at a time.</summary>
internal static class ShelfWalk
{
    /// <returns>Acts it took; null when the kit did not come back.</returns>
    public static int? ToTheShelf(ClinicPlay clinic, int index, int most = 3000)
    {
        for (var acts = 0; acts <= most; acts++)
        {
            var state = clinic.Kits[index];
            if (state is { Stage: KitStage.Available, InSession: null })
            {
                return acts;
            }

            Act(clinic, index, state);
        }

        return null;
    }

    private static void Act(ClinicPlay clinic, int index, KitState state)
    {
        if (state.InSession is not null)
        {
            clinic.SetDown(index);
            return;
        }

        var command = state.Stage switch
        {
            KitStage.Draft => new CommissionKit(),
            KitStage.Packed or KitStage.AwaitingPickup => new CallOffLoan(state.InHand!.Value, "not needed"),
            KitStage.Reserved => new CallOffLoan(state.Loans[0].LoanId, "not needed"),
            KitStage.InTransitOut or KitStage.Delivered or KitStage.CheckedInAtSite or KitStage.AwaitingReturn or KitStage.InTransitBack or KitStage.MissingParcel => new ReceiveKit(null, [], null, EntryMeans.Typed),
            KitStage.Lost or KitStage.Stolen => new ReportKitFound("there"),
            KitStage.Received or KitStage.Quarantine => new BeginCleaning("needed"),
            KitStage.Cleaning => new SignTurnaround(KitStage.Cleaning, [.. TurnaroundLines.Of(KitStage.Cleaning, state.Items).Select(line => new FunctionAnswer(line.Code, true))], [], null, null),
            KitStage.Inspection or KitStage.Restock => new SignTurnaround(state.Stage, [], [], "done already", null),
            KitStage.Repair => new FinishRepair("mended", false),
            KitStage.AtCalibration => new TakeFromLaboratory(null),
            KitStage.Commissioned or KitStage.FunctionCheck => Ready(state),
            _ => (KitCommand?)null,
        };
        if (command is ReleaseKit && KitJudgement.HoldsUntil(state) is var until && (until is null || until < clinic.Today || state.PartsReplacedOn is not null))
        {
            clinic.Tell(index, clinic.Today);
        }
        else if (command is not null)
        {
            clinic.Ask(index, command);
        }
    }

    private static KitCommand Ready(KitState state)
    {
        if (!state.HoldsByHand.IsEmpty)
        {
            return new LiftHold(state.HoldsByHand.Keys.First(), "seen to");
        }

        if (state.LookBacks.SelectMany(list => list.Fact.Sessions.Select(session => (list.Number, session))).FirstOrDefault(row => !state.Reviews.ContainsKey(row)) is { Number: > 0 } waiting)
        {
            return new ReviewSession(waiting.Number, waiting.session, "unchanged");
        }

        if (state.UsedSinceCleaning)
        {
            return new BeginCleaning(null);
        }

        if (!state.Checked)
        {
            return KitSamples.Function(passed: true);
        }

        return state.Items.Any(item => state.InCase.TryGetValue(item.ItemId, out var count) && count < item.ParCount)
            ? new CountKit([.. state.Items.Select(item => new ItemCount(item.ItemId, item.ExpectedCount))], null)
            : new ReleaseKit();
    }
}
