using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>One level: what it is digitally, and what a person sets.</summary>
internal readonly record struct VerifyLevel(double LevelDb, double? SetDb, string Unit);

/// <summary>Every level a sound is verified at, the loudest first: by the calibration, up to the kit's own ceiling, or without one in dB of digital full scale.</summary>
internal static class VerifyLevels
{
    public const string FullScale = "dB of full scale";
    public const string Hearing = "dB HL";
    public const string Masking = "dB effective masking";

    /// <summary>Lowest and highest level of a tone without a calibration, dB of digital full scale (design: above it a cable loop may clip, below it nothing but a digital loop has anything left).</summary>
    private const double LowestDb = -110;

    /// <inheritdoc cref="LowestDb"/>
    private const double HighestToneDb = -5;

    /// <summary>Highest level of a noise without a calibration, RMS: its peaks are 12 dB higher.</summary>
    private const double HighestNoiseDb = -15;
    private const double StepDb = 5;

    /// <summary>Step of a quick run.</summary>
    private const double QuickStepDb = 35;

    /// <summary>Levels of tones.</summary>
    public static IEnumerable<VerifyLevel> Tones(Gear? gear, Ear ear, AudiometricFrequency frequency, bool quick) => gear?.Calibration is { } record
        ? Calibrated(gear, frequency, LevelChain.HighestPlayableDbHl(record, ear, frequency), Hearing, level => LevelChain.Resolve(record, ear, frequency, level))
        : Digital(HighestToneDb, quick);

    /// <summary>Levels of masking noise; none where no effective masking is tabulated.</summary>
    public static IEnumerable<VerifyLevel> Maskers(Gear? gear, Ear ear, AudiometricFrequency frequency, bool quick) => gear?.Calibration is { } record
        ? Calibrated(gear, frequency, CalibrationRules.HighestMaximumDbHl, Masking, level => NoiseLevelChain.Masker(record, ear, frequency, level))
        : Digital(HighestNoiseDb, quick);

    /// <summary>Levels of speech-shaped noise.</summary>
    public static IEnumerable<VerifyLevel> Speech(Gear? gear, Ear ear, bool quick) => gear?.Calibration is { } record
        ? Calibrated(gear, AudiometricFrequency.FromHertz(1000), CalibrationRules.HighestMaximumDbHl, Hearing, level => NoiseLevelChain.Speech(record, ear, level))
        : Digital(HighestNoiseDb, quick);

    /// <summary>Levels of noises that no hearing level is defined for.</summary>
    public static IEnumerable<VerifyLevel> Uncalibrated(bool quick) => Digital(HighestNoiseDb, quick);

    private static IEnumerable<VerifyLevel> Digital(double highestDb, bool quick)
    {
        for (var level = highestDb; level >= LowestDb; level -= quick ? QuickStepDb : StepDb)
        {
            yield return new VerifyLevel(level, level, FullScale);
        }
    }

    private static IEnumerable<VerifyLevel> Calibrated(Gear gear, AudiometricFrequency frequency, double? highestDb, string unit, Func<HearingLevel, LevelResult> resolve)
    {
        if (highestDb is not { } highest || gear.Kit.Ceilings.HighestFor(gear.Kit.TransducerKind, frequency) is not { } ceiling)
        {
            yield break;
        }

        for (var level = HearingLevels.RoundDownToStep(Math.Min(highest, ceiling)); level >= HearingLevels.LowestPresentedDbHl; level -= StepDb)
        {
            switch (resolve(HearingLevel.FromDecibels(level)))
            {
                case LevelResult.Playable playable:
                    yield return new VerifyLevel(20 * Math.Log10(playable.PeakAmplitude), level, unit);
                    break;
                case LevelResult.PlayableNoise noise when noise.CeilingLevel.Decibels <= ceiling:
                    yield return new VerifyLevel(20 * Math.Log10(noise.Rms), level, unit);
                    break;
            }
        }
    }
}
