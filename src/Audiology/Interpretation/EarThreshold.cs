using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Interpretation;

/// <summary>One point of an audiogram by air.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Audiometric frequency in Hz.</param>
/// <param name="Outcome">What the measurement came to.</param>
/// <param name="Masked">Whether the other ear was masked.</param>
public sealed record EarThreshold(Ear Ear, int FrequencyHz, ThresholdOutcome Outcome, bool Masked);
