using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;

namespace TeleHearing.Audiology.PureTone;

/// <summary>One finished threshold measurement, as protocols, masking and the judgement of an ear look at it.</summary>
/// <param name="Ear">Ear under test.</param>
/// <param name="Route">How the tone reached it.</param>
/// <param name="FrequencyHz">Audiometric frequency in Hz.</param>
/// <param name="Outcome">What it came to.</param>
public sealed record Measurement(Ear Ear, ConductionRoute Route, int FrequencyHz, ThresholdOutcome Outcome)
{
    /// <summary>Method that made it.</summary>
    public ThresholdMethod Method { get; init; }

    /// <summary>How the other ear was masked; absent when it was not.</summary>
    public MaskingEvidence? Masking { get; init; }

    /// <summary>Kind of earphone it was made with; absent when not known, or by bone.</summary>
    public TransducerKind? TransducerKind { get; init; }

    /// <summary>What the trials say of its quality.</summary>
    public TrialTally Tally { get; init; } = TrialTally.None;
}

/// <summary>Counts over the trials of a measurement.</summary>
/// <param name="Tones">Tones that count.</param>
/// <param name="CatchTrials">Silent trials that count.</param>
/// <param name="FalseResponses">Responses to them.</param>
/// <param name="EarlyPresses">Presses in the silence before a tone.</param>
/// <param name="NoiseVoids">Presentations spoiled by room noise.</param>
/// <param name="AscentSpanDb">Highest less lowest level at which an ascent ended in a response, dB.</param>
/// <param name="DurationSeconds">Length in s.</param>
public sealed record TrialTally(int Tones, int CatchTrials, int FalseResponses, int EarlyPresses, int NoiseVoids, double AscentSpanDb, double DurationSeconds)
{
    /// <summary>Nothing counted.</summary>
    public static TrialTally None { get; } = new(0, 0, 0, 0, 0, 0, 0);

    /// <summary>How often the task had to be explained again.</summary>
    public int Reinstructions { get; init; }

    /// <summary>What the trials, one by one, say of the way the person answers; absent where only counts are known.</summary>
    public ListenerEvidence? Evidence { get; init; }
}
