using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Interpretation;

/// <summary>All that the answers of one ear say of the way the person answers: the trials of every measurement, and how far repeats agree.</summary>
internal static class AnswerEvidence
{
    /// <summary>
    /// How much better inconsistent answers explain a change between a threshold and its repeat than cooperative ones do: logarithm of the ratio of the chances of a change of 0, 5, 10, 15
    /// and 20 dB or more. Cooperative: 0.57, 0.40, 0.03, 0.002, 0.0005; inconsistent: 0.165, 0.315, 0.205, 0.15, 0.165; both found by simulation with the search in steps of 5 dB, spreads of 1 to
    /// 4 dB against thresholds that wander by 5 to 10 dB. The last two are held at 4, since an earphone that moved changes a threshold as well.
    /// </summary>
    private static readonly double[] _repeat = [Math.Log(0.165 / 0.57), Math.Log(0.315 / 0.40), Math.Log(0.205 / 0.03), 4, 4];

    /// <summary>For pressing without cause and for inconsistent answers, each against cooperative ones: natural logarithms of ratios of likelihoods.</summary>
    public static (double Pressing, double Inconsistency) Of(IEnumerable<Measurement> ear, IEnumerable<double> changesDb)
    {
        var evidence = ListenerEvidence.None;
        foreach (var one in ear)
        {
            var tally = one.Tally;
            evidence = evidence.And(tally.Evidence
                ?? ListenerEvidence.OfSilences(tally.CatchTrials, tally.FalseResponses, tally.Tones + tally.CatchTrials + tally.EarlyPresses, tally.EarlyPresses));
        }

        return (evidence.ForPressing, evidence.ForInconsistency + changesDb.Sum(change => _repeat[Math.Min(_repeat.Length - 1, (int)Math.Round(change / HearingLevels.StepDb))]));
    }

    /// <summary>
    /// The ratio of likelihoods (natural logarithm) from which an ear is to be repeated because of inconsistent answers. Few thresholds must argue more plainly than many: each has a threshold of its own to be
    /// explained, which a wider spread always does a little better. Set by simulation.
    /// </summary>
    /// <param name="measurements">Measurements whose trials are known.</param>
    public static double InconsistencyFrom(int measurements) => Math.Max(-0.8, 1 - (0.2 * measurements));

    /// <summary>How many measurements have their trials known.</summary>
    public static int Known(IReadOnlyList<Measurement> ear) => ear.Count(one => one.Tally.Evidence is not null);

    /// <summary>Changes between thresholds and their repeats, dB, in order: every result of an unmasked frequency against the one before.</summary>
    public static List<(int Hertz, double Db)> Changes(IReadOnlyList<Measurement> ear)
    {
        var last = new Dictionary<(ConductionRoute, int), ThresholdOutcome>();
        var changes = new List<(int, double)>();
        foreach (var one in ear.Where(one => one.Masking is null && one.Outcome is not ThresholdOutcome.NotEstablished))
        {
            if (last.TryGetValue((one.Route, one.FrequencyHz), out var before))
            {
                changes.Add((one.FrequencyHz, EarProtocol.ChangeDb(before, one.Outcome)));
            }

            last[(one.Route, one.FrequencyHz)] = one.Outcome;
        }

        return changes;
    }
}
