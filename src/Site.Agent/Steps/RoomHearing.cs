using TeleHearing.Audiology.Acoustics;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>What the kit may say about sound in the room: with which microphone, by its own record. Without a record it says nothing at all.</summary>
/// <param name="SplAtRmsOneDb">Sensitivity: sound pressure level at RMS 1.0, dB re 20 µPa.</param>
/// <param name="SelfNoise">The microphone's own noise by third-octave band; empty when not known, and then every bound counts as not verifiable.</param>
internal sealed record RoomHearing(double SplAtRmsOneDb, IReadOnlyList<BandLevel> SelfNoise)
{
    /// <summary>What to do about a microphone that cannot be trusted.</summary>
    public const string Mend = "Check that the measurement microphone is plugged in and not covered, then check the kit again.";

    // No microphone and input together are less or more sensitive than this (sanity of a record, design).
    private const double LeastSplAtRmsOneDb = 60;
    private const double MostSplAtRmsOneDb = 200;

    /// <summary>Finds it, or says why there is none.</summary>
    public static (RoomHearing? Hearing, string? Reason) Find(IAudioInput? microphone, Gear gear)
    {
        if (microphone is null)
        {
            return (null, "This kit has no measurement microphone.");
        }

        if (gear.Kit.Microphone is not { } record)
        {
            return (null, "There is no record of the measurement microphone.");
        }

        if (microphone.SampleRateHz != AudioFormat.SampleRateHz)
        {
            return (null, "The measurement microphone runs at a rate this kit cannot use.");
        }

        // a simulated input knows its own sensitivity
        var sensitivity = record.SplAtRmsOneDb ?? (microphone is SimulatedSoundCard ? microphone.SplAtRmsOneDb : double.NaN);
        if (!double.IsFinite(sensitivity) || sensitivity is < LeastSplAtRmsOneDb or > MostSplAtRmsOneDb)
        {
            return (null, "The record of the measurement microphone has no usable sensitivity.");
        }

        var selfNoise = record.SelfNoise ?? [];
        return selfNoise.Any(band => band is null || !double.IsFinite(band.BandHz) || !double.IsFinite(band.LevelDbSpl))
            ? (null, "The record of the measurement microphone's own noise is damaged.")
            : (new RoomHearing(sensitivity, selfNoise), null);
    }
}
