using TeleHearing.Audiology.PureTone.Protocols;

namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>The repeat of 1000 Hz at the end of an ear and what follows from it (ISO 8253-1:2010, 6.2.3, step 3).</summary>
internal static class RetestPlan
{
    private const int RetestHz = 1000;

    /// <summary>Change from which further frequencies are measured again, dB (ISO 8253-1:2010, 6.2.3, step 3).</summary>
    private const double FurtherFromDb = 10;

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

        if (!run.Protocol.RetestFurther || ChangeDb(log, RetestHz) is not { } change || change < FurtherFromDb)
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

    /// <summary>Change between the first two results at a frequency, dB; a response in one of them only counts as 10 dB at least. Absent when there are not two.</summary>
    internal static double? ChangeDb(PartLog log, int frequencyHz) => log.Results(frequencyHz) is [var first, var second, ..]
        ? EarProtocol.ChangeDb(first, second)
        : null;
}
