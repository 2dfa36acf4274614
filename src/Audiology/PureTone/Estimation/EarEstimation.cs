using TeleHearing.Audiology.Interpretation;

namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>Estimates a whole audiogram: what every frequency taught, of the hearing and of the way of responding, is the start of the next, in the same ear and the other.</summary>
/// <remarks>
/// Only thresholds by one route belong into one of these. Estimates share their memory: finish one before beginning another. Not safe for several threads at once.
/// </remarks>
/// <param name="ageYears">Age in years; absent when unknown.</param>
/// <param name="sex">Sex; absent when unknown.</param>
public sealed class EarEstimation(double? ageYears, Sex? sex)
{
    private readonly List<KnownThreshold> _known = [];
    private readonly ThresholdPosterior _posterior = new(EstimateGrid.Usual);
    private ListenerBelief _listener = ListenerBelief.Unknown;
    private (Ear Ear, AudiometricFrequency Frequency, ThresholdEstimation Estimation)? _running;
    private double? _previousDbHl;
    private bool _familiar;

    /// <summary>What is known so far.</summary>
    public IReadOnlyList<KnownThreshold> Known => _known;

    /// <summary>Adds a threshold found in another way, for instance by the standard search. One that came to no threshold adds nothing.</summary>
    public void Add(Measurement measurement)
    {
        if (KnownThreshold.From(measurement) is { } known)
        {
            Keep(known);
        }
    }

    /// <summary>Begins the estimate at a place. What came of the one before is taken in first.</summary>
    /// <param name="ear">Ear.</param>
    /// <param name="frequency">Frequency.</param>
    /// <param name="search">Levels and limits.</param>
    /// <param name="random">Seeded source of the catch trials.</param>
    /// <exception cref="InvalidOperationException">The estimate before has not ended.</exception>
    public ThresholdEstimation Begin(Ear ear, AudiometricFrequency frequency, SearchSettings search, Random random) =>
        Begin(ear, frequency, random, prior => new EstimateSettings(search, prior));

    /// <summary>Begins the estimate at a place with settings of one's own.</summary>
    /// <param name="ear">Ear.</param>
    /// <param name="frequency">Frequency.</param>
    /// <param name="random">Seeded source of the catch trials.</param>
    /// <param name="settings">Makes the settings from the prior. Familiarisation and the last level are set here.</param>
    /// <exception cref="InvalidOperationException">The estimate before has not ended.</exception>
    public ThresholdEstimation Begin(Ear ear, AudiometricFrequency frequency, Random random, Func<EstimatePrior, EstimateSettings> settings)
    {
        ArgumentNullException.ThrowIfNull(settings);
        TakeIn();
        var chosen = settings(PriorFor(ear, frequency)) with { Familiarise = !_familiar, PreviousDbHl = _previousDbHl };
        var estimation = new ThresholdEstimation(chosen, random, _listener, _posterior);
        _running = (ear, frequency, estimation);
        return estimation;
    }

    /// <summary>What is believed of a place before its first tone. What was found at the same place before is left out, so that a repeat is a check and not an echo.</summary>
    public EstimatePrior PriorFor(Ear ear, AudiometricFrequency frequency) =>
        EstimatePrior.For(ear, frequency, ageYears, sex, [.. _known.Where(one => one.Ear != ear || one.FrequencyHz != frequency.Hertz)]);

    private void TakeIn()
    {
        if (_running is not var (ear, frequency, estimation))
        {
            return;
        }

        if (estimation.Next is not SearchMove.Finished finished)
        {
            throw new InvalidOperationException("The estimate before has not ended. Finish it, or begin a new ear.");
        }

        _running = null;
        _previousDbHl = estimation.PreviousDbHl ?? _previousDbHl;

        // The way of responding is learned even where no threshold was: guesses at one frequency make those at the next less believable.
        _listener = ListenerBelief.After(_posterior);
        if (finished.Outcome is ThresholdOutcome.NotEstablished)
        {
            return;
        }

        _familiar = true;
        Keep(new KnownThreshold(ear, frequency.Hertz, estimation.Estimate.MeanDbHl, Math.Max(estimation.Estimate.SdDb, 1)));
    }

    // A place measured again replaces what was known of it.
    private void Keep(KnownThreshold known)
    {
        _known.RemoveAll(one => one.Ear == known.Ear && one.FrequencyHz == known.FrequencyHz);
        _known.Add(known);
    }
}
