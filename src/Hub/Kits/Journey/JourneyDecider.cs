using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>A question to the deciders of a kit's way: the kit, who asks, and what else counts.</summary>
/// <param name="State">The kit.</param>
/// <param name="By">Who asks.</param>
/// <param name="Context">Time, day, the other kits, its sessions.</param>
internal sealed record JourneyAsk(KitState State, Actor By, KitContext Context)
{
    private IReadOnlyList<KitHold>? _holds;

    /// <summary>What holds the kit now.</summary>
    public IReadOnlyList<KitHold> Holds => _holds ??= KitHolds.Of(State, Context.Others, Context.Today);

    /// <summary>The fact when the machine permits it, else why not.</summary>
    public KitDecision Move(KitTrigger trigger, Func<KitFact> fact) => WhyNot(trigger) is { } refusal ? KitDecision.Refuse(refusal) : KitDecision.Of(fact());

    /// <summary>Why the machine does not permit something; absent when it does.</summary>
    /// <remarks>Only promising, sending and releasing ask what holds the kit, which takes a look at all other kits.</remarks>
    public Refusal? WhyNot(KitTrigger trigger) => JourneyRefusals.WhyNot(State, trigger, trigger is KitTrigger.Reserve or KitTrigger.SendOut or KitTrigger.Release ? Holds : []);
}

/// <summary>Decides the commands of a kit's way: each goes to the decider of its idea. Pure.</summary>
internal static class JourneyDecider
{
    public static KitDecision Decide(JourneyAsk ask, KitCommand command) => command switch
    {
        ReserveKit reserve => LoanDecider.Reserve(ask, reserve),
        CallOffLoan off => LoanDecider.CallOff(ask, off),
        ExtendLoan extend => LoanDecider.Extend(ask, extend),
        SignLoanPaper sign => LoanDecider.Sign(ask, sign),
        WithdrawLoanConsent withdraw => LoanDecider.TakeBack(ask, withdraw),
        TakeReminderStep step => LoanDecider.Remind(ask, step),
        PackKit pack => ParcelDecider.Pack(ask, pack),
        StageKit stage => ParcelDecider.Stage(ask, stage),
        SendKit send => ParcelDecider.Send(ask, send),
        RecordCarrier carrier => ParcelDecider.Carrier(ask, carrier),
        CheckInKit checkIn => ParcelDecider.CheckIn(ask, checkIn),
        PackUpKit packUp => ParcelDecider.PackUp(ask, packUp),
        ReceiveKit receive => ParcelDecider.Receive(ask, receive),
        QuarantineKit quarantine => TurnaroundDecider.Quarantine(ask, quarantine),
        BeginCleaning begin => TurnaroundDecider.Begin(ask, begin),
        SignTurnaround sign => TurnaroundDecider.Sign(ask, sign),
        CommissionKit => ask.Move(KitTrigger.Commission, () => new KitCommissioned(ask.By)),
        ReleaseKit => ask.Move(KitTrigger.Release, () => new KitReleased(ask.By)),
        RetireKit retire => ask.Move(KitTrigger.Retire, () => new KitRetired(retire.Reason.Trim(), ask.By)),
        PlaceHold place => CareDecider.Place(ask, place),
        LiftHold lift => CareDecider.Lift(ask, lift),
        SetContents contents => CareDecider.Contents(ask, contents),
        CountKit count => CareDecider.Count(ask, count),
        SendToRepair repair => ask.Move(KitTrigger.SendToRepair, () => new RepairBegun(repair.Fault.Trim(), ask.By)),
        FinishRepair repair => ask.Move(KitTrigger.FinishRepair, () => new RepairFinished(repair.Done.Trim(), repair.PartsReplaced, ask.By)),
        SendToLaboratory send => CareDecider.Laboratory(ask, send),
        TakeFromLaboratory take => ask.Move(KitTrigger.TakeFromLaboratory, () => new TakenFromLaboratory(Text(take.Note), ask.By)),
        ReportParcelMissing missing => ask.Move(KitTrigger.ReportMissing, () => new ParcelMissing(missing.Note.Trim(), ask.By)),
        ReportKitGone gone => ask.Move(gone.Stolen ? KitTrigger.ReportStolen : KitTrigger.ReportLost, () => new KitGone(gone.Stolen, gone.Circumstances.Trim(), gone.MayHoldData, ask.By)),
        ReportKitFound found => CareDecider.Found(ask, found),
        CorrectEntry correct => CorrectionDecider.Decide(ask, correct),
        _ => throw new ArgumentOutOfRangeException(nameof(command), command, "Not a command about a kit."),
    };

    /// <summary>An optional text without blanks around it; absent when there is nothing in it.</summary>
    internal static string? Text(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();
}
