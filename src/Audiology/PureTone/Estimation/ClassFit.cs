namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>What one class of hearing says of a place, given what is known of others, and how well it fits what is known.</summary>
/// <param name="MeanDb">Conditional mean, dB HL.</param>
/// <param name="SdDb">Conditional standard deviation, dB.</param>
/// <param name="LogEvidence">Logarithm of the density of the known thresholds under the class.</param>
internal readonly record struct ClassFit(double MeanDb, double SdDb, double LogEvidence)
{
    /// <summary>Conditions the class: the usual formulae of a Gaussian process, by Cholesky (Rasmussen and Williams 2006, algorithm 2.1).</summary>
    public static ClassFit Of(HearingClass hearing, Ear ear, double hertz, IReadOnlyList<KnownThreshold> known)
    {
        var n = known.Count;
        var (mean, sd) = hearing.At(hertz);
        if (n == 0)
        {
            return new(mean, sd, 0);
        }

        // The known deviations and the covariances with the place asked for, carried through the triangle row by row: both are solved while it is made.
        var triangle = new double[n * n];
        var deviations = new double[n];
        var across = new double[n];
        var spreads = new double[n];
        var logEvidence = 0.0;
        var variance = sd * sd;
        for (var i = 0; i < n; i++)
        {
            var one = known[i];
            var (expected, spread) = hearing.At(one.FrequencyHz);
            spreads[i] = spread;
            for (var j = 0; j <= i; j++)
            {
                var sum = (hearing.Correlation(one.Ear, one.FrequencyHz, known[j].Ear, known[j].FrequencyHz) * spread * spreads[j]) + (i == j ? one.SdDb * one.SdDb : 0);
                for (var k = 0; k < j; k++)
                {
                    sum -= triangle[(i * n) + k] * triangle[(j * n) + k];
                }

                triangle[(i * n) + j] = i == j ? Math.Sqrt(Math.Max(sum, 1e-6)) : sum / triangle[(j * n) + j];
            }

            var (deviation, covariance) = (one.MeanDbHl - expected, hearing.Correlation(one.Ear, one.FrequencyHz, ear, hertz) * spread * sd);
            for (var k = 0; k < i; k++)
            {
                deviation -= triangle[(i * n) + k] * deviations[k];
                covariance -= triangle[(i * n) + k] * across[k];
            }

            var pivot = triangle[(i * n) + i];
            deviations[i] = deviation / pivot;
            across[i] = covariance / pivot;
            mean += across[i] * deviations[i];
            variance -= across[i] * across[i];
            logEvidence -= Math.Log(pivot) + (deviations[i] * deviations[i] / 2);
        }

        return new(mean, Math.Sqrt(Math.Max(variance, 1)), logEvidence);
    }
}
