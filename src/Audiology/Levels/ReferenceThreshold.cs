namespace TeleHearing.Audiology.Levels;

/// <summary>A reference equivalent threshold level with where it comes from.</summary>
/// <param name="RetsplDb">Sound pressure level in the coupler at 0 dB HL, dB re 20 µPa; of a bone vibrator the force level in the mechanical coupler, dB re 1 µN.</param>
/// <param name="Status">Whether the number was confirmed.</param>
/// <param name="Standard">The standard that tabulates it.</param>
public sealed record ReferenceThreshold(double RetsplDb, ValueStatus Status, string Standard);
