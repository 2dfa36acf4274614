using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.PureTone.Protocols;

namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>The repeat of 1000 Hz at the end of an ear and what follows from it (ISO 8253-1:2010, 6.2.3, step 3), and repeats where the answers leave doubt.</summary>
internal static class RetestPlan
{
    private const int RetestHz = 1000;

    /// <summary>Change from which further frequencies are measured again, dB (ISO 8253-1:2010, 6.2.3, step 3).</summary>
    private const double FurtherFromDb = 10;

    /// <summary>How many frequencies are repeated because of doubt. A design choice.</summary>
    private const int MostForDoubt = 3;

    /// <summary>How near to the bound of inconsistent answers the evidence is in doubt, on either side: natural logarithm of a ratio of likelihoods. A design choice.</summary>
    private const double DoubtWithin = 2.5;

    /// <summary>The next repeat; nothing when all is repeated that must be.</summary>
    public static PlanStep? Next(PlanRun run, PlanPart part, PartLog log)
    {
        var wanted = run.Protocol.Retest == RetestScope.BothEars || (run.Protocol.Retest == RetestScope.FirstEar && part.Ear == run.FirstEar);
        if (!wanted || log.Results(RetestHz).Count == 0)
        {
            return null;
        }

        if (UnmaskedPlan.Owed(run, part, log, RetestHz, results: 2, MeasurePurpose.Retest, "1000 Hz is measured again at the end of the ear.") is { } retest)
        {
            return retest;
        }

        return run.Protocol.RetestFurther ? Changed(run, part, log) ?? Doubtful(run, part, log) : null;
    }

    private static PlanStep? Changed(PlanRun run, PlanPart part, PartLog log)
    {
        if (ChangeDb(log, RetestHz) is not { } change || change < FurtherFromDb)
        {
            return null;
        }

        // Every frequency at most once more, so that this ends with the list.
        foreach (var hertz in run.Protocol.AirHz.Where(hertz => hertz != RetestHz && log.Results(hertz).Count > 0 && !run.Skipped(part, hertz)))
        {
            if (UnmaskedPlan.Owed(run, part, log, hertz, results: 2, MeasurePurpose.FurtherRetest, $"1000 Hz changed by {change} dB, so further frequencies are measured again until one agrees.") is { } further)
            {
                return further;
            }

            if (ChangeDb(log, hertz) is <= EarProtocol.RetestAgreementDb)
            {
                return null;
            }
        }

        return null;
    }

    // One repeat is little to tell a wandering person from a steady one by. Where the answers leave that open, a few repeats settle it, for good or bad.
    private static PlanStep? Doubtful(PlanRun run, PlanPart part, PartLog log)
    {
        var measured = log.All;
        var known = AnswerEvidence.Known(measured);
        var (_, inconsistency) = AnswerEvidence.Of(measured, AnswerEvidence.Changes(measured).Select(change => change.Db));
        if (known == 0 || Math.Abs(inconsistency - AnswerEvidence.InconsistencyFrom(known)) > DoubtWithin)
        {
            return null;
        }

        List<int> others = [.. run.Protocol.AirHz.Where(hertz => hertz != RetestHz && log.Results(hertz).Count > 0 && !run.Skipped(part, hertz))];
        if (others.Count(hertz => log.At(hertz).Count > 1) >= MostForDoubt)
        {
            return null;
        }

        foreach (var hertz in others)
        {
            if (UnmaskedPlan.Owed(run, part, log, hertz, results: 2, MeasurePurpose.FurtherRetest, $"The answers leave doubt whether they are steady; {hertz} Hz once more helps to tell.") is { } step)
            {
                return step;
            }
        }

        return null;
    }

    /// <summary>Change between the first two results at a frequency, dB; a response in one of them only counts as 10 dB at least. Absent when there are not two.</summary>
    internal static double? ChangeDb(PartLog log, int frequencyHz) => log.Results(frequencyHz) is [var first, var second, ..]
        ? EarProtocol.ChangeDb(first, second)
        : null;
}
