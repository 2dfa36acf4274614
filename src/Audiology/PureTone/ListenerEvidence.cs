using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.PureTone;

/// <summary>How well listeners of each kind explain what was answered in one or more measurements: the logarithm of the likelihood under each model.</summary>
/// <remarks>
/// Few silent trials say little; silences before tones, tones far below and above what was found and the scatter of answers say more, and together enough. Evidence of several measurements adds up,
/// and does not depend on when a search decided to stop.
/// </remarks>
[JsonConverter(typeof(ListenerEvidenceJson))]
public sealed class ListenerEvidence : IEquatable<ListenerEvidence>
{
    private const double ThresholdGridDb = 2.5;
    private const double ThresholdMarginDb = 20;

    private readonly double[] _logLikelihoods;

    private ListenerEvidence(double[] logLikelihoods) => _logLikelihoods = logLikelihoods;

    /// <summary>Evidence of nothing.</summary>
    public static ListenerEvidence None { get; } = new(new double[ListenerModels.Count]);

    /// <summary>How much better a person who presses without cause explains the answers than a cooperative one: natural logarithm of the ratio of likelihoods; below 0 it is worse.</summary>
    public double ForPressing => Best(ListenerKind.Presses) - Best(ListenerKind.Cooperative);

    /// <summary>How much better a person who answers inconsistently explains the answers than a cooperative one: natural logarithm of the ratio of likelihoods; below 0 it is worse.</summary>
    public double ForInconsistency => Best(ListenerKind.Inconsistent) - Best(ListenerKind.Cooperative);

    /// <summary>The logarithm of the likelihood under each model, in the order of the models.</summary>
    internal IReadOnlyList<double> LogLikelihoods => _logLikelihoods;

    /// <summary>Evidence from its numbers; nothing when they are not one finite number a model, as those of another version may be.</summary>
    internal static ListenerEvidence? From(double[] logLikelihoods) =>
        logLikelihoods.Length == ListenerModels.Count && logLikelihoods.All(double.IsFinite) ? new(logLikelihoods) : null;

    /// <inheritdoc />
    public bool Equals(ListenerEvidence? other) => other is not null && _logLikelihoods.AsSpan().SequenceEqual(other._logLikelihoods);

    /// <inheritdoc />
    public override bool Equals(object? obj) => Equals(obj as ListenerEvidence);

    /// <inheritdoc />
    public override int GetHashCode() => HashCode.Combine(_logLikelihoods[0], _logLikelihoods[^1]);

    /// <summary>Evidence of both.</summary>
    public ListenerEvidence And(ListenerEvidence other)
    {
        ArgumentNullException.ThrowIfNull(other);
        var sum = new double[ListenerModels.Count];
        for (var model = 0; model < sum.Length; model++)
        {
            sum[model] = _logLikelihoods[model] + other._logLikelihoods[model];
        }

        return new ListenerEvidence(sum);
    }

    /// <summary>Evidence of silences alone.</summary>
    /// <param name="catchTrials">Silent trials.</param>
    /// <param name="falseResponses">Responses to them.</param>
    /// <param name="trials">Trials of every kind, each with a silence before.</param>
    /// <param name="earlyPresses">Presses in those silences.</param>
    public static ListenerEvidence OfSilences(int catchTrials, int falseResponses, int trials, int earlyPresses)
    {
        var sums = new double[ListenerModels.Count];
        for (var model = 0; model < sums.Length; model++)
        {
            sums[model] = (falseResponses * ListenerModels.Silence(model, answered: true)) + ((catchTrials - falseResponses) * ListenerModels.Silence(model, answered: false))
                + (earlyPresses * ListenerModels.Waiting(model, pressed: true)) + ((trials - earlyPresses) * ListenerModels.Waiting(model, pressed: false));
        }

        return new ListenerEvidence(sums);
    }

    /// <summary>Evidence of answers to tones of one threshold that is not known: every threshold counts as equally likely.</summary>
    /// <param name="levels">Levels in dB HL with how often each was heard and missed.</param>
    internal static ListenerEvidence OfTones(IReadOnlyCollection<KeyValuePair<double, (int Heard, int Missed)>> levels)
    {
        if (levels.Count == 0)
        {
            return None;
        }

        var lowest = levels.Min(pair => pair.Key) - ThresholdMarginDb;
        var thresholds = 1 + (int)((levels.Max(pair => pair.Key) + ThresholdMarginDb - lowest) / ThresholdGridDb);
        Span<double> terms = thresholds <= 128 ? stackalloc double[thresholds] : new double[thresholds];
        var sums = new double[ListenerModels.Count];
        for (var model = 0; model < sums.Length; model++)
        {
            var highest = double.NegativeInfinity;
            for (var place = 0; place < terms.Length; place++)
            {
                var threshold = lowest + (place * ThresholdGridDb);
                var sum = 0.0;
                foreach (var (level, (heard, missed)) in levels)
                {
                    var (logHeard, logMissed) = ListenerModels.Tone(model, level - threshold);
                    sum += (heard * logHeard) + (missed * logMissed);
                }

                terms[place] = sum;
                highest = Math.Max(highest, sum);
            }

            var total = 0.0;
            foreach (var term in terms)
            {
                total += Math.Exp(term - highest);
            }

            sums[model] = highest + Math.Log(total / terms.Length);
        }

        return new ListenerEvidence(sums);
    }

    private double Best(ListenerKind kind)
    {
        var best = double.NegativeInfinity;
        for (var model = 0; model < _logLikelihoods.Length; model++)
        {
            best = ListenerModels.KindOf(model) == kind ? Math.Max(best, _logLikelihoods[model]) : best;
        }

        return best;
    }
}
