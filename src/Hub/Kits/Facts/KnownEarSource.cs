using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Takes the thresholds of a known ear out of the session in which they were measured, so that nobody has to copy them.</summary>
internal sealed class KnownEarSource
{
    private readonly SessionStore _store;

    public KnownEarSource(SessionStore store) => _store = store;

    /// <summary>The command with its levels, or why the session gives none. A command that names no session comes back as it is.</summary>
    public async Task<(KitCommand Command, Refusal? Refusal)> Fill(KitId kitId, KitCommand command, CancellationToken cancellationToken)
    {
        switch (command)
        {
            case RecordBaseline { From: { } from } baseline:
                var (levels, refusal) = await Levels(kitId, from, baseline.PersonCode, KnownEarRules.BaselineFaults, cancellationToken);
                return (baseline with { Levels = levels }, refusal);
            case RecordKnownEar { From: { } from } check:
                (levels, refusal) = await Levels(kitId, from, check.PersonCode, KnownEarRules.Faults, cancellationToken);
                return (check with { Levels = levels }, refusal);
            default:
                return (command, null);
        }
    }

    private async Task<(IReadOnlyList<KnownEarLevel> Levels, Refusal? Refusal)> Levels(
        KitId kitId,
        SessionId from,
        string person,
        Func<IReadOnlyList<KnownEarLevel>, IReadOnlyList<string>> faultsOf,
        CancellationToken cancellationToken)
    {
        if (await _store.Load(from, cancellationToken) is not { } session)
        {
            return Unusable("There is no such session.");
        }

        if (session.Plan.KitId != kitId || session.Plan.Person.Reference != person)
        {
            return Unusable($"That session was not with this kit and {person}.");
        }

        if (!session.Integrity.Valid)
        {
            return Unusable("What is recorded of that session was changed from outside.");
        }

        var levels = Newest(session.State);
        return faultsOf(levels) is { Count: > 0 } faults ? Unusable(string.Join(" ", faults)) : (levels, null);

        static (IReadOnlyList<KnownEarLevel>, Refusal) Unusable(string sentence) =>
            ([], new Refusal(RefusalCodes.Invalid, $"The thresholds cannot be taken from that session. {sentence}", "Measure 500, 1000, 2000 and 4000 Hz at both ears in a session with the known ear's code as reference, or enter the thresholds."));
    }

    /// <summary>The threshold that stands at each ear and frequency of a check. One that noise hid, or that was not established, is missing: it is no level.</summary>
    private static List<KnownEarLevel> Newest(SessionState state) =>
    [
        .. from threshold in StandingThresholds.Of(state.Thresholds).Standing
           where threshold is { Route: ConductionRoute.Air, Method: not ThresholdMethod.Estimate, Outcome: ThresholdOutcome.Established } && KnownEarRules.NeededHz.Contains(threshold.FrequencyHz)
           select new KnownEarLevel(threshold.Ear, threshold.FrequencyHz, ((ThresholdOutcome.Established)threshold.Outcome).LevelDbHl),
    ];
}
