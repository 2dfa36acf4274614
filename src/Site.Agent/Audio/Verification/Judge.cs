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
        var rows = readings.Where(reading => reading.Item.Topic is VerifyTopic.ToneLevels or VerifyTopic.NoiseLevels).GroupBy(reading => reading.Item);
        return [.. readings.Select(reading => One(reading, offsets.GetValueOrDefault(reading.Item.Ear))), .. rows.SelectMany(row => Steps([.. row]))];
    }

    private Finding One(Reading reading, double offset)
    {
        return reading.Quantity switch
        {
            Quantity.LevelDb when reading.Item.Topic == VerifyTopic.MaskerBand || IsNoise(reading.Item) => Level(reading, offset, -Limits.MaskerBelowDb, Limits.MaskerAboveDb, Limits.Memory),
            Quantity.LevelDb => Level(reading, offset, -Limits.LevelDb(reading.Item.Hertz), Limits.LevelDb(reading.Item.Hertz), Limits.Quoted),
            Quantity.FrequencyPercent => Within(reading, Topics.Frequency, "% off", -Limits.FrequencyPercent, Limits.FrequencyPercent),
            Quantity.HarmonicPercent => Within(reading, Topics.Harmonics, "%", double.NegativeInfinity, Limits.HarmonicPercent),
            Quantity.DistortionAndNoiseDb => Information(reading, Topics.DistortionAndNoise, reading.Value, "dB of the tone"),
            Quantity.CrosstalkDb => Within(reading, Topics.Crosstalk, "dB of the tone", double.NegativeInfinity, Limits.CrosstalkDb),
            Quantity.RiseMs => Within(reading, Topics.Rise, "ms", Limits.ShortestRampMs, Limits.LongestFallMs),
            Quantity.FallMs => Within(reading, Topics.Fall, "ms", Limits.ShortestRampMs, Limits.LongestFallMs),
            Quantity.OvershootDb => Within(reading, Topics.Overshoot, "dB", double.NegativeInfinity, Limits.OvershootDb),
            Quantity.PulseOnMs => Within(reading, Topics.PulseOn, "ms", Limits.PulseMs - Limits.PulseToleranceMs, Limits.PulseMs + Limits.PulseToleranceMs),
            Quantity.PulseOffMs => Within(reading, Topics.PulseOff, "ms", Limits.PulseMs - Limits.PulseToleranceMs, Limits.PulseMs + Limits.PulseToleranceMs),
            Quantity.PulsePlateauMs => Within(reading, Topics.PulsePlateau, "ms", Limits.ShortestPlateauMs, double.PositiveInfinity),
            Quantity.PulseRampMs => Within(reading, Topics.PulseRamp, "ms", double.NegativeInfinity, Limits.LongestPulseRampMs),
            Quantity.PulseOffPhaseDb => Within(reading, Topics.PulseSilence, "dB of the pulse", double.NegativeInfinity, Limits.OffPhaseDb),
            Quantity.WarbleCarrierPercent => Within(reading, Topics.WarbleMiddle, "% off", -Limits.WarbleCarrierPercent, Limits.WarbleCarrierPercent),
            Quantity.WarbleDeviationPercent => Within(reading, Topics.WarbleDeviation, "%", Limits.NarrowestWarblePercent, Limits.WidestWarblePercent),
            Quantity.WarbleRateHz => Within(reading, Topics.WarbleRate, "Hz", Limits.SlowestWarbleHz, Limits.FastestWarbleHz),
            Quantity.BandWidthOctaves => Within(reading, Topics.MaskerWidth, "octaves", Limits.NarrowestBandOctaves, Limits.WidestBandOctaves),
            Quantity.BandSkirtsDb => Within(reading, Topics.MaskerSkirts, "dB", double.NegativeInfinity, 0),
            _ => Floor(reading, offset),
        };
    }

    // a warble tone is read as a noise is, but is a tone by its limits
    private static bool IsNoise(VerifyItem item) => item.Topic == VerifyTopic.NoiseLevels && item.Name.EndsWith("noise", StringComparison.Ordinal);

    private Finding Level(Reading reading, double offset, double lowest, double highest, string source)
    {
        var (item, sound) = (reading.Item, reading.Sound!);
        var error = reading.Value - offset - sound.LevelDb;
        var limit = string.Create(CultureInfo.InvariantCulture, $"{lowest:0} to {highest:+0} dB{(source == Limits.Quoted ? reading.Item.Hertz > Limits.TightUntilHz ? " above 4 kHz" : " up to 4 kHz" : string.Empty)}");
        var verdict = !absolute && item is { Topic: VerifyTopic.Tone, Hertz: ReferenceHertz } ? Verdict.NotJudged : Decide(error, lowest, highest, reading.SpreadDb);
        return new Finding(Topics.Level(item.Name), item.Ear, Hertz(item), reading.Detail, sound.SetDb, SetUnit(sound), error, "dB off", limit, source, verdict);
    }

    private static string SetUnit(VerifySound sound) => sound.SetDb is null ? string.Empty : sound.SetUnit;

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
                Topics.Steps(lower.Item.Name),
                lower.Item.Ear,
                Hertz(lower.Item),
                string.Empty,
                lower.Sound.SetDb,
                SetUnit(lower.Sound),
                error,
                "dB off",
                string.Create(CultureInfo.InvariantCulture, $"-{limit:0.##} to +{limit:0.##} dB off a step of {step:0.#} dB"),
                Limits.Memory,
                Decide(error, -limit, limit, Math.Max(upper.SpreadDb, lower.SpreadDb)));
        }
    }

    private Finding Floor(Reading reading, double offset)
    {
        var level = reading.Value - offset;
        if (gear?.Calibration is not { } calibration || !absolute)
        {
            return Information(reading, Topics.Silence, level, VerifyLevels.FullScale);
        }

        // the whole noise against the digital level of the threshold where the ear and transducer are most sensitive: stricter than band by band
        var threshold = AudiometricFrequency.All
            .Select(frequency => LevelChain.Resolve(calibration, reading.Item.Ear, frequency, HearingLevel.FromDecibels(0)))
            .OfType<LevelResult.Playable>()
            .Select(playable => 20 * Math.Log10(playable.PeakAmplitude / Math.Sqrt(2)))
            .DefaultIfEmpty(double.NegativeInfinity)
            .Min();
        return Within(reading, Topics.Silence, VerifyLevels.FullScale, double.NegativeInfinity, threshold - Limits.FloorUnderThresholdDb);
    }

    private static Finding Information(Reading reading, string topic, double? value, string unit) =>
        new(topic, reading.Item.Ear, Hertz(reading.Item), reading.Detail, null, string.Empty, value, unit, string.Empty, string.Empty, Verdict.Information);

    private static Finding Within(Reading reading, string topic, string unit, double lowest, double highest)
    {
        var numbers = (double.IsFinite(lowest), double.IsFinite(highest)) switch
        {
            (true, true) => $"{Shown(lowest)} to {Shown(highest)}",
            (true, _) => $"at least {Shown(lowest)}",
            _ => $"at most {Shown(highest)}",
        };
        return new Finding(
            topic,
            reading.Item.Ear,
            Hertz(reading.Item),
            reading.Detail,
            null,
            string.Empty,
            reading.Value,
            unit,
            $"{numbers} {unit.Replace(" off", string.Empty, StringComparison.Ordinal)}",
            Limits.Memory,
            Decide(reading.Value, lowest, highest, 0));
    }

    private static string Shown(double limit) => limit.ToString("0.##", CultureInfo.InvariantCulture);

    /// <summary>A number that is none fails: what was played was not found. Silence that is exact has a level of minus infinity, which is a number here.</summary>
    private static Verdict Decide(double? value, double lowest, double highest, double spread) =>
        value is not { } number || double.IsNaN(number) ? Verdict.NotKept
        : spread * Spreads > Math.Min(Math.Abs(lowest), Math.Abs(highest)) ? Verdict.NotJudged
        : number >= lowest && number <= highest ? Verdict.Kept : Verdict.NotKept;

    private static double? Hertz(VerifyItem item) => item.Hertz > 0 ? item.Hertz : null;
}
