namespace TeleHearing.Audiology.Acoustics;

/// <summary>The sound pressure level in one third-octave band.</summary>
/// <param name="BandHz">Nominal mid-band frequency in Hz (IEC 61260-1), e.g. 31.5, 250, 8000.</param>
/// <param name="LevelDbSpl">Level in dB re 20 µPa.</param>
public sealed record BandLevel(double BandHz, double LevelDbSpl);
