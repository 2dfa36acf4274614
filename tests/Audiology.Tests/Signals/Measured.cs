namespace TeleHearing.Audiology.Tests.Signals;

/// <summary>What the script measured; see <c>measure_stimuli.py</c> for how.</summary>
internal sealed record Measured(
    IReadOnlyList<MeasuredLevels> Levels,
    IReadOnlyList<MeasuredPurity> Purity,
    IReadOnlyList<MeasuredRamps> Ramps,
    IReadOnlyList<MeasuredPulses> Pulses,
    IReadOnlyList<MeasuredBand> Bands,
    IReadOnlyList<MeasuredBroad> Broad,
    IReadOnlyList<MeasuredWarble> Warbles);

internal sealed record MeasuredLevels(string Gear, int Hertz, int Count, double LargestErrorDb, double LargestStepErrorDb);

internal sealed record MeasuredPurity(int Hertz, double FrequencyErrorPercent, double DistortionAndNoiseDb);

internal sealed record MeasuredRamps(int Hertz, double RiseMs, double FallMs, double OvershootDb, double OffDb);

internal sealed record MeasuredPulses(int Hertz, IReadOnlyList<double> OnMs, IReadOnlyList<double> OffMs, double PlateauMs);

internal sealed record MeasuredBand(int Hertz, double LowerHz, double UpperHz, double SkirtExcessDb, double SplDb, double Crest, double? EffectiveMaskingDb);

internal sealed record MeasuredBroad(string Colour, double SplDb, IReadOnlyList<double> SlopesDbAnOctave, double OutsideDb, double Crest);

internal sealed record MeasuredWarble(int Hertz, double MiddleHz, double RateHz, double UpPercent, double DownPercent, double Peak);
