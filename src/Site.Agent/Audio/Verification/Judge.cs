using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>Puts readings beside their published limits.</summary>
/// <param name="absolute">Whether the recording is of the very samples played. Otherwise levels are told apart from the 1 kHz tone of the same ear, whose own level cannot be judged.</param>
/// <param name="gear">The kit, when its calibration gave the levels.</param>
internal sealed class Judge(bool absolute, Gear? gear)
{
    private const double ReferenceHertz = 1000;

    /// <summary>A limit smaller than this many spreads of the reading is not judged.</summary>
    private const double Spreads = 3;

    /// <summary>All findings, in the order of the readings, with the steps between levels after their row.</summary>
    public IReadOnlyList<Finding> Findings(IReadOnlyList<Reading> readings)
    {
        var offsets = readings
            .Where(reading => reading is { Quantity: Quantity.LevelDb, Item: { Topic: VerifyTopic.Tone, Hertz: ReferenceHertz } })
            .ToDictionary(reading => reading.Item.Ear, reading => absolute ? 0 : (reading.Value ?? 0) - reading.Sound!.LevelDb);
        return
        [
            .. readings.Select(reading => One(reading, offsets.GetValueOrDefault(reading.Item.Ear))),
            .. readings.Where(reading => reading.Item.Topic == VerifyTopic.Levels).GroupBy(reading => reading.Item).SelectMany(row => Steps([.. row])),
        ];
    }

    private Finding One(Reading reading, double offset)
    {
        var (item, value) = (reading.Item, reading.Value);
        return reading.Quantity switch
        {
            Quantity.LevelDb when item.Topic == VerifyTopic.MaskerBand => Level(reading, offset, -Limits.MaskerBelowDb, Limits.MaskerAboveDb, "masker level", Limits.Memory),
            Quantity.LevelDb when item.Topic == VerifyTopic.BroadNoise => Level(reading, offset, -Limits.MaskerBelowDb, Limits.MaskerAboveDb, $"level of {item.Name}", Limits.Memory),
            Quantity.LevelDb => Level(reading, offset, -Limits.LevelDb(item.Hertz), Limits.LevelDb(item.Hertz), "level", Limits.Quoted),
            Quantity.FrequencyPercent => Within(item, "frequency", value, "% off", -Limits.FrequencyPercent, Limits.FrequencyPercent),
            Quantity.HarmonicPercent => Within(item, "harmonic distortion", value, "%", double.NegativeInfinity, Limits.HarmonicPercent),
            Quantity.DistortionAndNoiseDb => Told(item, "distortion and noise", value, "dB of the tone"),
            Quantity.CrosstalkDb => Within(item, "crosstalk to the other ear", value, "dB of the tone", double.NegativeInfinity, Limits.CrosstalkDb),
            Quantity.RiseMs => Within(item, "rise, -20 to -1 dB", value, "ms", Limits.ShortestRampMs, Limits.LongestFallMs),
            Quantity.FallMs => Within(item, "fall, -1 to -20 dB", value, "ms", Limits.ShortestRampMs, Limits.LongestFallMs),
            Quantity.OvershootDb => Within(item, "overshoot", value, "dB", double.NegativeInfinity, Limits.OvershootDb),
            Quantity.PulseOnMs => Within(item, "pulse on, -5 dB points", value, "ms", Limits.PulseMs - Limits.PulseToleranceMs, Limits.PulseMs + Limits.PulseToleranceMs),
            Quantity.PulseOffMs => Within(item, "pulse off, -5 dB points", value, "ms", Limits.PulseMs - Limits.PulseToleranceMs, Limits.PulseMs + Limits.PulseToleranceMs),
            Quantity.PulsePlateauMs => Within(item, "plateau of a pulse", value, "ms", Limits.ShortestPlateauMs, double.PositiveInfinity),
            Quantity.PulseRampMs => Within(item, "longest rise or fall of a pulse", value, "ms", double.NegativeInfinity, Limits.LongestPulseRampMs),
            Quantity.PulseOffPhaseDb => Within(item, "level between pulses", value, "dB of the pulse", double.NegativeInfinity, Limits.OffPhaseDb),
            Quantity.WarbleCarrierPercent => Within(item, "middle of the warble", value, "% off", -Limits.WarbleCarrierPercent, Limits.WarbleCarrierPercent),
            Quantity.WarbleDeviationPercent => Within(item, "deviation of the warble", value, "%", 4.5, 27.5),
            Quantity.WarbleRateHz => Within(item, "rate of the warble", value, "Hz", 3.6, 22),
            Quantity.BandWidthOctaves => Within(item, "width of the masker, -3 dB points", value, "octaves", 1.0 / 3, 0.5),
            Quantity.BandSkirtsDb => Within(item, "skirts of the masker over 12 dB an octave", value, "dB", double.NegativeInfinity, 0),
            _ => Floor(reading, offset),
        };
    }

    /// <summary>Levels are shown as they were set: dB HL with a calibration, where a sound without one has none to show; dB of digital full scale without.</summary>
    private Finding Level(Reading reading, double offset, double lowest, double highest, string topic, string source)
    {
        var (item, sound) = (reading.Item, reading.Sound!);
        var set = Set(sound);
        var error = reading.Value - offset - sound.LevelDb;
        var limit = string.Create(CultureInfo.InvariantCulture, $"{lowest:0} to {highest:+0} dB off");
        var verdict = !absolute && item is { Topic: VerifyTopic.Tone, Hertz: ReferenceHertz } ? Verdict.Told : Decide(error, lowest, highest, reading.SpreadDb);
        return new Finding(topic, item.Ear, Hertz(item), set, error, "dB off", limit, source, verdict);
    }

    // One unit a report: a sound at a fixed digital level has no hearing level, and must not stand in that column.
    private double? Set(VerifySound sound) => gear?.Calibration is null ? sound.LevelDb : sound.HearingLevelDb;

    /// <summary>Differences between neighbouring settings of one row.</summary>
    private IEnumerable<Finding> Steps(IReadOnlyList<Reading> row)
    {
        for (var index = 1; index < row.Count; index++)
        {
            var (upper, lower) = (row[index - 1], row[index]);
            var step = upper.Sound!.LevelDb - lower.Sound!.LevelDb;
            if (step > 5.001)
            {
                continue;
            }

            var limit = Limits.StepDb(step);
            var error = upper.Value - lower.Value - step;
            yield return new Finding(
                "step between levels",
                lower.Item.Ear,
                lower.Item.Hertz,
                Set(lower.Sound),
                error,
                "dB off",
                string.Create(CultureInfo.InvariantCulture, $"±{limit:0.0#} dB off {step:0.#} dB"),
                Limits.Memory,
                Decide(error, -limit, limit, Math.Max(upper.SpreadDb, lower.SpreadDb)));
        }
    }

    private Finding Floor(Reading reading, double offset)
    {
        var item = reading.Item;
        var level = reading.Value - offset;
        if (gear?.Calibration is not { } calibration || !absolute)
        {
            return Told(item, "noise in silence", level, "dB of full scale");
        }

        // the whole noise against the digital level of the threshold where the ear and transducer are most sensitive: stricter than band by band
        var threshold = AudiometricFrequency.All
            .Select(frequency => LevelChain.Resolve(calibration, item.Ear, frequency, HearingLevel.FromDecibels(0)))
            .OfType<LevelResult.Playable>()
            .Select(playable => 20 * Math.Log10(playable.PeakAmplitude / Math.Sqrt(2)))
            .DefaultIfEmpty(double.NegativeInfinity)
            .Min();
        return Within(item, "noise in silence", level, "dB of full scale", double.NegativeInfinity, threshold - Limits.FloorUnderThresholdDb);
    }

    private static Finding Told(VerifyItem item, string topic, double? value, string unit) => new(topic, item.Ear, Hertz(item), null, value, unit, "not limited", Limits.None, Verdict.Told);

    private static Finding Within(VerifyItem item, string topic, double? value, string unit, double lowest, double highest)
    {
        var limit = string.Create(
            CultureInfo.InvariantCulture,
            $"{(double.IsFinite(lowest) ? $"at least {lowest:0.##}" : "")}{(double.IsFinite(lowest) && double.IsFinite(highest) ? ", " : "")}{(double.IsFinite(highest) ? $"at most {highest:0.##}" : "")} {unit}");
        return new Finding(topic, item.Ear, Hertz(item), null, value, unit, limit, Limits.Memory, Decide(value, lowest, highest, 0));
    }

    /// <summary>A number that is none fails: what was played was not found. Silence that is exact has a level of minus infinity, which is a number here.</summary>
    private static Verdict Decide(double? value, double lowest, double highest, double spread) =>
        value is not { } number || double.IsNaN(number) ? Verdict.Fail
        : spread * Spreads > Math.Min(Math.Abs(lowest), Math.Abs(highest)) ? Verdict.Told
        : number >= lowest && number <= highest ? Verdict.Pass : Verdict.Fail;

    private static double? Hertz(VerifyItem item) => item.Hertz > 0 ? item.Hertz : null;
}
