using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Records;

/// <summary>Ties every threshold to what it rests on: what was in force when the step that made it was asked for.</summary>
internal static class ThresholdEvidenceBuilder
{
    public static IReadOnlyList<ThresholdEvidence> Of(SessionState state, Dictionary<StepId, RecordedEvent> orders)
    {
        var measured = state.History.Where(recorded => recorded.Event is ThresholdMeasured).ToList();
        var standing = StandingThresholds.Of([.. measured.Select(recorded => ((ThresholdMeasured)recorded.Event).Threshold)]).Standing.ToHashSet(ReferenceEqualityComparer.Instance);
        return [.. measured.Select(recorded => One(state, recorded, orders, standing.Contains(((ThresholdMeasured)recorded.Event).Threshold)))];
    }

    private static ThresholdEvidence One(SessionState state, RecordedEvent recorded, Dictionary<StepId, RecordedEvent> orders, bool stands)
    {
        var threshold = ((ThresholdMeasured)recorded.Event).Threshold;
        var order = orders.GetValueOrDefault(threshold.StepId);
        var until = order?.Sequence ?? recorded.Sequence;
        var before = state.History.TakeWhile(earlier => earlier.Sequence < until).ToList();
        var then = SessionFold.Fold(state.SessionId, before);
        return new ThresholdEvidence(
            recorded.Sequence,
            recorded.At,
            threshold,
            !stands,
            RecordBuilder.Orderer(orders, threshold.StepId),
            order?.Event is StepOrdered { LoudConfirmed: true },
            then.Consent.Of(ConsentPurpose.Care)?.Sequence,
            then.Identity?.Card.Present,
            Last(before, happened => happened is StepOver { Result: KitCheckResult }),
            then.Room is null ? null : Last(before, happened => happened is StepOver { Result: RoomResult }),
            then.RoomAcceptedReason,
            then.SideProof is null ? null : Last(before, happened => happened is StepOver { Result: SideProofResult }),
            Last(before, happened => happened is EarLookedAt look && look.Look.Ear == threshold.Ear));
    }

    private static long? Last(List<RecordedEvent> history, Func<SessionEvent, bool> fits) =>
        history.FindLast(recorded => fits(recorded.Event))?.Sequence;
}
