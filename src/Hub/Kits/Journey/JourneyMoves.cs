using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Which commands of a kit's way may be asked now, and why the others may not. Pure.</summary>
internal static class JourneyMoves
{
    public static IEnumerable<(string Name, string? WhyNot)> Of(KitState state, IReadOnlyList<KitHold> holds)
    {
        string? Why(KitTrigger trigger) => JourneyRefusals.WhyNot(state, trigger, holds)?.Sentence;
        yield return ("commission-kit", Why(KitTrigger.Commission));
        yield return ("release-kit", Why(KitTrigger.Release));
        yield return ("place-hold", state.Stage == KitStage.Retired ? "The kit is out of service for good." : null);
        yield return ("lift-hold", state.HoldsByHand.IsEmpty ? "Nobody holds the kit by hand." : null);
        yield return ("reserve-kit", Why(KitTrigger.Reserve) ?? (state.Calibration is null ? "The kit has told no calibration." : null));
        yield return ("call-off-loan", Why(KitStages.IsPacked(state.Stage) ? KitTrigger.CallOffPacked : KitTrigger.CallOffPromised));
        yield return ("extend-loan", state.Loans.Count == 0 ? "The kit is promised to no loan." : null);
        yield return ("sign-loan-paper", state.Loans.All(loan => loan.Paper is not null) ? "No paper waits to be signed." : null);
        yield return ("withdraw-loan-consent", state.Loans.All(loan => loan.Paper is null) ? "There is no consent to a loan." : null);
        yield return ("take-reminder-step", state.LoanInHand?.SentOn is null ? "The kit is not away." : null);
        yield return ("pack-kit", Why(KitTrigger.Pack));
        yield return ("stage-kit", Why(KitTrigger.Stage));
        yield return ("send-kit", Why(state.LoanInHand?.SentOn is null ? KitTrigger.SendOut : KitTrigger.SendBack));
        yield return ("record-carrier", Why(KitTrigger.CarrierSays));
        yield return ("check-in-kit", Why(KitTrigger.CheckIn));
        yield return ("pack-up-kit", Why(KitTrigger.PackUp));
        yield return ("receive-kit", Why(KitTrigger.Receive));
        yield return ("quarantine-kit", Why(KitTrigger.Quarantine));
        yield return ("begin-cleaning", Why(KitTrigger.BeginCleaning));
        yield return ("sign-turnaround", state.Stage switch
        {
            KitStage.Cleaning => Why(KitTrigger.SignCleaning),
            KitStage.Inspection => Why(KitTrigger.SignInspection),
            _ => Why(KitTrigger.SignRestock),
        });
        yield return ("sign-cleaning", state.Stage == KitStage.Cleaning ? "It is being cleaned: sign that step." : Why(KitTrigger.SignCleaning));
        yield return ("send-to-repair", Why(KitTrigger.SendToRepair));
        yield return ("finish-repair", Why(KitTrigger.FinishRepair));
        yield return ("send-to-laboratory", Why(KitTrigger.HandToLaboratory));
        yield return ("take-from-laboratory", Why(KitTrigger.TakeFromLaboratory));
        yield return ("report-parcel-missing", Why(KitTrigger.ReportMissing));
        yield return ("report-kit-gone", Why(KitTrigger.ReportLost));
        yield return ("report-kit-found", Why(KitTrigger.ReportFound));
        yield return ("retire-kit", Why(KitTrigger.Retire));
        yield return ("correct-entry", state.History.IsEmpty ? "There is no entry yet." : null);
        yield return ("set-contents", Why(KitTrigger.Count));
        yield return ("count-kit", Why(KitTrigger.Count) ?? (state.Items.Count == 0 ? "Nobody has said yet what belongs in the case." : null));
    }
}
