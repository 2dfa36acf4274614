using Stateless;
using Stateless.Reflection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using Stage = Stateless.StateMachine<TeleHearing.Contracts.KitStage, TeleHearing.Hub.Kits.Journey.KitTrigger>.StateConfiguration;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>A kit's rules of movement, all in one place. Made per question around the folded state, asked, and thrown away; it changes nothing itself.</summary>
/// <remarks>Stages and their order after a return: practice of loan gear as in docs/decisions/0026. What depends on dates and counts is decided beside it.</remarks>
internal sealed class KitMachine
{
    private const string NothingHolds = "Nothing holds the kit";
    private const string FunctionChecked = "A function check passed since it came back, was repaired or went into service";
    private const string NotPromised = "It is promised to no loan (call them off or give them another kit)";
    private const string NeedsCleaning = "It was used since it was cleaned";
    private const string Promised = "It is promised to a loan that has not begun";
    private const string WasSent = "It was handed to the carrier";
    private const string Away = "It is away with a loan";
    private const string MayGoByParcel = "No battery is in doubt and no safety notice stands";

    private readonly KitState _state;
    private readonly bool _held;
    private readonly bool _heldFromShelf;
    private readonly StateMachine<KitStage, KitTrigger> _machine;
    private KitStage _stage;

    /// <param name="state">The kit.</param>
    /// <param name="holds">What holds it.</param>
    public KitMachine(KitState state, IReadOnlyList<KitHold> holds)
        : this(state, holds, [state.Stage])
    {
    }

    private KitMachine(KitState state, IReadOnlyList<KitHold> holds, IReadOnlyList<KitStage> stages)
    {
        _state = state;
        _held = holds.Count > 0;

        // What only a loan lacks keeps no kit from the shelf: there it waits for the loan to be put right.
        _heldFromShelf = holds.Any(hold => !KitHolds.IsOfALoan(hold.Kind));
        _stage = state.Stage;
        _machine = new StateMachine<KitStage, KitTrigger>(() => _stage, stage => _stage = stage);

        // Only the stage a kit stands at is ever asked, so only that one is laid out; the diagram lays out all.
        foreach (var stage in stages)
        {
            Configure(stage, _machine.Configure(stage));
        }
    }

    /// <summary>Whether something is permitted where the kit stands.</summary>
    /// <returns>Null when it is; otherwise what is not met, empty when the stage does not know it at all.</returns>
    public IReadOnlyCollection<string>? Unmet(KitTrigger trigger) => _machine.CanFire(trigger, out var unmet) ? null : [.. unmet ?? []];

    /// <summary>Where it would stand after something that is permitted.</summary>
    public KitStage After(KitTrigger trigger)
    {
        _machine.Fire(trigger);
        return _stage;
    }

    /// <summary>All stages and what leads from each, for the diagram.</summary>
    public static StateMachineInfo Whole() =>
        new KitMachine(KitState.Empty(new KitId("kit")) with { Stage = KitStage.Draft }, [], Enum.GetValues<KitStage>())._machine.GetInfo();

    private void Configure(KitStage stage, Stage at)
    {
        if (!KitStages.IsGone(stage) && stage != KitStage.Draft)
        {
            at.Permit(KitTrigger.ReportLost, KitStage.Lost).Permit(KitTrigger.ReportStolen, KitStage.Stolen);
            if (stage == KitStage.Available)
            {
                at.PermitIf(KitTrigger.Reserve, KitStage.Reserved, Is(!_held, NothingHolds));
            }
            else if (stage != KitStage.MissingParcel)
            {
                // On the shelf the first promise moves it; elsewhere a later loan is only noted.
                at.PermitReentryIf(KitTrigger.Reserve, Is(!_held, NothingHolds));
            }
        }

        if (KitStages.AtBase(stage) || stage is KitStage.AtCalibration or KitStage.Lost or KitStage.Stolen)
        {
            at.PermitIf(KitTrigger.Retire, KitStage.Retired, Is(_state.Loans.Count == 0, NotPromised));
        }

        if (KitStages.AtBase(stage))
        {
            at.PermitReentry(KitTrigger.Count);
        }

        // A check is recorded wherever somebody listened, at a site too; only a kit that nobody can have in hand gets none.
        if (!KitStages.IsGone(stage) && stage is not (KitStage.AtCalibration or KitStage.MissingParcel))
        {
            at.PermitReentry(KitTrigger.PassFunctionCheck);
            if (stage == KitStage.FunctionCheck)
            {
                at.Permit(KitTrigger.FailFunctionCheck, KitStage.Repair);
            }
            else if (KitStages.IsPacked(stage))
            {
                // Found before it left: it is not for the carrier, and its loan stays promised until somebody gives the loan another kit.
                at.Permit(KitTrigger.FailFunctionCheck, KitStage.Reserved).Permit(KitTrigger.TakeOut, KitStage.Reserved);
                Mended(at);
            }
            else
            {
                at.PermitReentry(KitTrigger.FailFunctionCheck);
            }
        }

        if (KitStages.CleanedInPlace(stage))
        {
            // Between two persons, without the way through the turnaround.
            at.PermitReentryIf(KitTrigger.SignCleaning, Is(_state.UsedSinceCleaning && _state.InSession is null, NeedsCleaning));
        }

        if ((KitStages.IsAway(stage) || stage == KitStage.InUse) && stage != KitStage.MissingParcel)
        {
            at.PermitReentryIf(KitTrigger.CarrierSays, Is(_state.LoanInHand?.SentOn is not null, WasSent));
        }

        if (stage is not (KitStage.Reserved or KitStage.Draft or KitStage.Retired))
        {
            at.PermitReentryIf(KitTrigger.CallOffPromised, () => _state.NextLoan is not null, Promised);
        }

        switch (stage)
        {
            case KitStage.Draft:
                at.Permit(KitTrigger.Commission, KitStage.Commissioned);
                break;
            case KitStage.Commissioned:
                Released(at);
                Mended(at);
                at.PermitReentry(KitTrigger.TakeIntoUse).PermitReentry(KitTrigger.SetDown);
                break;
            case KitStage.Available:
                Mended(at);
                at.Permit(KitTrigger.TakeIntoUse, KitStage.InUse);
                break;
            case KitStage.Reserved:
                Mended(at);
                at.Permit(KitTrigger.TakeIntoUse, KitStage.InUse)
                    .PermitDynamic(KitTrigger.CallOffPromised, ShelfWithOneLess, null, KitDestinations.Shelf())
                    .Permit(KitTrigger.Pack, KitStage.Packed);
                break;
            case KitStage.Packed:
                at.Permit(KitTrigger.Stage, KitStage.AwaitingPickup)
                    .PermitIf(KitTrigger.SendOut, KitStage.InTransitOut, Is(!_held, NothingHolds))
                    .PermitDynamic(KitTrigger.CallOffPacked, ShelfWithOneLess, null, KitDestinations.Shelf());
                break;
            case KitStage.AwaitingPickup:
                at.PermitIf(KitTrigger.SendOut, KitStage.InTransitOut, Is(!_held, NothingHolds))
                    .Permit(KitTrigger.ReportMissing, KitStage.MissingParcel)
                    .PermitDynamic(KitTrigger.CallOffPacked, ShelfWithOneLess, null, KitDestinations.Shelf());
                break;
            default:
                ConfigureAway(stage, at);
                break;
        }
    }

    /// <summary>From the carrier's door to being back.</summary>
    private void ConfigureAway(KitStage stage, Stage at)
    {
        switch (stage)
        {
            case KitStage.InTransitOut:
                at.Permit(KitTrigger.CarrierDelivers, KitStage.Delivered)
                    .Permit(KitTrigger.CheckIn, KitStage.CheckedInAtSite)
                    .Permit(KitTrigger.TakeIntoUse, KitStage.InUse)
                    .Permit(KitTrigger.ReportMissing, KitStage.MissingParcel)
                    .Permit(KitTrigger.Receive, KitStage.Received);
                break;
            case KitStage.Delivered:
                at.Permit(KitTrigger.CheckIn, KitStage.CheckedInAtSite)
                    .Permit(KitTrigger.TakeIntoUse, KitStage.InUse)
                    .Permit(KitTrigger.PackUp, KitStage.AwaitingReturn)
                    .Permit(KitTrigger.ReportMissing, KitStage.MissingParcel)
                    .Permit(KitTrigger.Receive, KitStage.Received);
                break;
            case KitStage.CheckedInAtSite:
                at.PermitReentry(KitTrigger.CheckIn)
                    .Permit(KitTrigger.TakeIntoUse, KitStage.InUse)
                    .Permit(KitTrigger.PackUp, KitStage.AwaitingReturn)
                    .Permit(KitTrigger.Receive, KitStage.Received);
                break;
            case KitStage.InUse:
                at.PermitReentryIf(KitTrigger.CheckIn, () => _state.InHand is not null, Away)
                    .PermitReentryIf(KitTrigger.PackUp, () => _state.InHand is not null, Away)
                    .PermitReentry(KitTrigger.TakeIntoUse)
                    .PermitDynamic(KitTrigger.SetDown, AfterUse, null, KitDestinations.AfterUse())
                    .PermitIf(KitTrigger.SetDownPacked, KitStage.AwaitingReturn, Is(_state.InHand is not null, Away));
                break;
            case KitStage.AwaitingReturn:
                at.PermitIf(KitTrigger.SendBack, KitStage.InTransitBack, ByParcel())
                    .Permit(KitTrigger.CheckIn, KitStage.CheckedInAtSite)
                    .Permit(KitTrigger.ReportMissing, KitStage.MissingParcel)
                    .Permit(KitTrigger.Receive, KitStage.Received);
                break;
            case KitStage.InTransitBack:
                at.Permit(KitTrigger.ReportMissing, KitStage.MissingParcel)
                    .Permit(KitTrigger.Receive, KitStage.Received);
                break;
            case KitStage.MissingParcel:
                at.PermitDynamicIf(KitTrigger.CarrierSays, LegStage, () => _state.LoanInHand?.SentOn is not null, WasSent, KitDestinations.Legs())
                    .PermitIf(KitTrigger.CarrierDelivers, KitStage.Delivered, Is(_state.LoanInHand is { SentOn: not null, Leg: KitLeg.Out }, WasSent))
                    .Permit(KitTrigger.ReportFound, KitStage.Received)
                    .Permit(KitTrigger.Receive, KitStage.Received);
                break;
            case KitStage.Lost:
            case KitStage.Stolen:
                at.Permit(KitTrigger.ReportFound, KitStage.Received);
                break;
            default:
                ConfigureTurnaround(stage, at);
                break;
        }
    }

    /// <summary>From being back to the shelf.</summary>
    private void ConfigureTurnaround(KitStage stage, Stage at)
    {
        switch (stage)
        {
            case KitStage.Received:
                at.Permit(KitTrigger.Quarantine, KitStage.Quarantine)
                    .Permit(KitTrigger.BeginCleaning, KitStage.Cleaning)
                    .Permit(KitTrigger.SendToRepair, KitStage.Repair);
                break;
            case KitStage.Quarantine:
                at.Permit(KitTrigger.BeginCleaning, KitStage.Cleaning)
                    .Permit(KitTrigger.SendToRepair, KitStage.Repair);
                break;
            case KitStage.Cleaning:
                at.Permit(KitTrigger.SignCleaning, KitStage.Inspection)
                    .Permit(KitTrigger.SendToRepair, KitStage.Repair);
                break;
            case KitStage.Inspection:
                CleanedAnew(at);
                at.Permit(KitTrigger.SignInspection, KitStage.Restock)
                    .Permit(KitTrigger.FailInspection, KitStage.Repair)
                    .Permit(KitTrigger.SendToRepair, KitStage.Repair)
                    .PermitReentry(KitTrigger.TakeIntoUse).PermitReentry(KitTrigger.SetDown);
                break;
            case KitStage.Restock:
                CleanedAnew(at);
                at.Permit(KitTrigger.SignRestock, KitStage.FunctionCheck)
                    .Permit(KitTrigger.SendToRepair, KitStage.Repair);
                break;
            case KitStage.FunctionCheck:
                Released(at);
                Mended(at);
                at.PermitReentry(KitTrigger.TakeIntoUse).PermitReentry(KitTrigger.SetDown);
                break;
            case KitStage.Repair:
                at.Permit(KitTrigger.FinishRepair, KitStage.Inspection)
                    .PermitIf(KitTrigger.SendToLaboratory, KitStage.AtCalibration, ByParcel())
                    .Permit(KitTrigger.HandToLaboratory, KitStage.AtCalibration)
                    .PermitReentry(KitTrigger.TakeIntoUse).PermitReentry(KitTrigger.SetDown);
                break;
            case KitStage.AtCalibration:
                at.Permit(KitTrigger.TakeFromLaboratory, KitStage.Inspection);
                break;
        }
    }

    /// <summary>Release to the shelf.</summary>
    private void Released(Stage at) => at.PermitDynamicIf(KitTrigger.Release, ShelfNow, () => _state.Checked && !_heldFromShelf, $"{FunctionChecked}, and nothing holds it", KitDestinations.Shelf());

    /// <summary>Repair, laboratory, and cleaning when it is owed.</summary>
    private void Mended(Stage at)
    {
        CleanedAnew(at);
        at.Permit(KitTrigger.SendToRepair, KitStage.Repair)
            .PermitIf(KitTrigger.SendToLaboratory, KitStage.AtCalibration, ByParcel())
            .Permit(KitTrigger.HandToLaboratory, KitStage.AtCalibration);
    }

    private void CleanedAnew(Stage at) => at.PermitIf(KitTrigger.BeginCleaning, KitStage.Cleaning, Is(_state.UsedSinceCleaning, NeedsCleaning));

    private Tuple<Func<bool>, string> ByParcel() => Is(KitHolds.AgainstParcels(_state).Count == 0, MayGoByParcel);

    private KitStage ShelfNow() => _state.Loans.Count > 0 ? KitStage.Reserved : KitStage.Available;

    private KitStage ShelfWithOneLess() => _state.Loans.Count > 1 ? KitStage.Reserved : KitStage.Available;

    private KitStage LegStage() => _state.LoanInHand is { Leg: KitLeg.Back } ? KitStage.InTransitBack : KitStage.InTransitOut;

    private KitStage AfterUse() => _state.InHand is null ? ShelfNow() : KitStage.CheckedInAtSite;

    private static Tuple<Func<bool>, string> Is(bool holds, string description) => new(() => holds, description);
}
