using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Tables;

namespace TeleHearing.Audiology.Masking;

/// <summary>The least that a sound loses on its way across the head, as decisions on masking assume it, dB.</summary>
/// <remarks>
/// A decision takes the least ever to be expected, so that no cross-hearing is overlooked; what a head truly loses is mostly 10 to 20 dB more
/// (Chaiklin 1967, J Aud Res 7:413, from memory). Circumaural earphones are taken as supra-aural ones, as the British Society of Audiology does (2018,
/// from memory); high-frequency inserts as inserts, an assumption.
/// </remarks>
public sealed class AttenuationTable
{
    private const int DeepRuleUpToHz = 1000;

    private readonly Func<TransducerKind, int, double> _minimumDb;

    private AttenuationTable(string name, string description, Func<TransducerKind, int, double> minimumDb)
    {
        Name = name;
        Description = description;
        _minimumDb = minimumDb;
    }

    /// <summary>
    /// 40 dB for supra-aural and circumaural earphones, 55 dB for inserts (British Society of Audiology 2018, from memory); at 125 Hz, where heads were found that lose
    /// less than 40 dB, 25 dB: the least found (32 dB, Chaiklin 1967, from memory) less one step of measuring, rounded down to the step.
    /// </summary>
    public static AttenuationTable Usual { get; } = new(
        "usual",
        "40 dB supra-aural and circumaural (25 dB at 125 Hz), 55 dB insert",
        (kind, hertz) => IsInsert(kind) ? Rule("insert deep foam") : SupraAural(hertz));

    /// <summary>40 dB for supra-aural and circumaural earphones; 75 dB up to 1 kHz and 50 dB above for inserts whose depth was verified (Yacullo, Handbook of Clinical Audiology, from memory).</summary>
    public static AttenuationTable DeepInsert { get; } = new(
        "deep-insert",
        "40 dB supra-aural and circumaural; deep inserts 75 dB up to 1 kHz, 50 dB above",
        (kind, hertz) => IsInsert(kind) ? Deep(hertz <= DeepRuleUpToHz) : SupraAural(hertz));

    /// <summary>Name under which protocols store it; never changed.</summary>
    public string Name { get; }

    /// <summary>In words.</summary>
    public string Description { get; }

    /// <summary>Least attenuation of an air-conducted sound, dB.</summary>
    /// <param name="kind">Kind of earphone that gives it.</param>
    /// <param name="frequencyHz">Frequency in Hz.</param>
    public double AirMinimumDb(TransducerKind kind, int frequencyHz) => _minimumDb(kind, frequencyHz);

    /// <summary>Least attenuation of a bone-conducted tone, dB: none (clinical rule, common practice).</summary>
    public const double BoneMinimumDb = 0;

    private static bool IsInsert(TransducerKind kind) => kind is TransducerKind.Insert or TransducerKind.HighFrequencyInsert;

    private static double Rule(string transducer) => Rows.Values.First(row => row.Text("transducer") == transducer).Number("rule_value_db");

    private static double SupraAural(int hertz) => Math.Min(
        Rule("supra-aural"),
        Rows.Values.FirstOrDefault(row => row.Text("transducer") == "supra-aural" && row.Number("frequency_hz") == hertz) is { } found
            && found.Number("min_db") < Rule("supra-aural")
            ? HearingLevels.RoundDownToStep(found.Number("min_db") - HearingLevels.StepDb)
            : double.PositiveInfinity);

    private static double Deep(bool low) => Rows.Values
        .First(row => row.Text("transducer") == "insert deep foam" && row.Number("frequency_hz") <= DeepRuleUpToHz == low)
        .Number("min_db");

    /// <summary>Read once, and only when first asked for: the tables above are made before.</summary>
    private static class Rows
    {
        public static readonly IReadOnlyList<EmbeddedTable.Row> Values = EmbeddedTable.Read("interaural_attenuation.csv").Rows;
    }
}
