namespace TeleHearing.Audiology.Simulation;

/// <summary>True hearing of a simulated person at one ear and frequency.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Audiometric frequency in Hz.</param>
/// <param name="AirDbHl">True threshold by air in dB HL.</param>
/// <param name="BoneDbHl">True threshold by bone in dB HL; absent means the same as by air.</param>
public sealed record ListenerThreshold(Ear Ear, int FrequencyHz, double AirDbHl, double? BoneDbHl);
