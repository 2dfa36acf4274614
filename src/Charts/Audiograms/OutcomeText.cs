using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>Threshold outcomes in words, the same on every screen and in every file.</summary>
public static class OutcomeText
{
    /// <summary>A few words for a table cell.</summary>
    public static string Short(ThresholdOutcome outcome) => outcome switch
    {
        ThresholdOutcome.Established established => $"{Number(established.LevelDbHl)} dB HL",
        ThresholdOutcome.NoResponseAtLimit none => $"no response at {Number(none.LimitDbHl)} dB HL",
        ThresholdOutcome.NoiseLimited limited => $"at or better than {Number(limited.BoundDbHl)} dB HL",
        _ => "not established",
    };

    /// <summary>The outcome with its reason, without a full stop at the end.</summary>
    public static string Full(ThresholdOutcome outcome) => outcome switch
    {
        ThresholdOutcome.NoiseLimited => $"{Short(outcome)}; the room hid anything lower",
        ThresholdOutcome.NotEstablished broken => $"not established: {broken.Reason.TrimEnd('.')}",
        _ => Short(outcome),
    };

    /// <summary>The ear in one word.</summary>
    public static string Name(Ear ear) => ear == Ear.Right ? "Right" : "Left";

    internal static string Number(double value) => value.ToString("0.#", CultureInfo.InvariantCulture).Replace("-", "\u2212", StringComparison.Ordinal);
}
