using System.Globalization;
using System.Text.RegularExpressions;

namespace TeleHearing.Audiology.PureTone.Protocols;

/// <summary>What is wrong with a protocol.</summary>
/// <param name="Field">Name of the field in a protocol file, e.g. "boneHz".</param>
/// <param name="Sentence">What is wrong, with what else it contradicts, and what to do.</param>
public sealed record ProtocolFault(string Field, string Sentence)
{
    /// <summary>Place in the list of the field, from 0, when one value of it is wrong.</summary>
    public int? Item { get; init; }

    /// <summary>The other field a contradiction is with.</summary>
    public string? With { get; init; }
}

/// <summary>Finds values outside their ranges and settings that contradict each other.</summary>
public static partial class ProtocolRules
{
    private const int RetestHz = 1000;

    /// <summary>Everything that is wrong; nothing when the protocol can be used.</summary>
    public static IReadOnlyList<ProtocolFault> Faults(TestProtocol protocol)
    {
        ArgumentNullException.ThrowIfNull(protocol);

        // A protocol that came over a wire may lack what this program never leaves out; nothing else can be said of it then.
        List<ProtocolFault> missing = [.. Missing(protocol)];
        return missing.Count > 0 ? missing : [.. Kinds(protocol), .. Naming(protocol), .. Ranges(protocol), .. FrequencyFaults(protocol), .. Contradictions(protocol)];
    }

    private static IEnumerable<ProtocolFault> Missing(TestProtocol protocol) =>
    [
        .. Need(protocol.Id is not null, "id", "The identifier is missing."),
        .. Need(protocol.Name is not null, "name", "The name is missing."),
        .. Need(protocol.AirHz is not null, "airHz", "The list of frequencies by air conduction is missing."),
        .. Need(protocol.ExtendedHighHz is not null, "extendedHighHz", "The list of extended high frequencies is missing; an empty one means none."),
        .. Need(protocol.BoneHz is not null, "boneHz", "The list of frequencies by bone conduction is missing; an empty one means none."),
    ];

    private static IEnumerable<ProtocolFault> Kinds(TestProtocol protocol) =>
    [
        .. Need(Enum.IsDefined(protocol.Method), "method", "There is no such method."),
        .. Need(Enum.IsDefined(protocol.Rule), "stoppingRule", "There is no such stopping rule."),
        .. Need(Enum.IsDefined(protocol.Tone), "tone", "There is no such shape of tones."),
        .. Need(Enum.IsDefined(protocol.EarOrder), "earOrder", "There is no such order of the ears."),
        .. Need(Enum.IsDefined(protocol.Retest), "retest", "There is no such repeat."),
        .. Need(Enum.IsDefined(protocol.Bone), "bone", "There is no such place of the vibrator."),
    ];

    private static IEnumerable<ProtocolFault> Naming(TestProtocol protocol) =>
    [
        .. Need(IdPattern().IsMatch(protocol.Id), "id", "The identifier must be 1 to 40 small letters, digits or hyphens."),
        .. Need(protocol.Version >= 1, "version", "The version must be a whole number from 1."),
        .. Need(protocol.Name.Length is >= 1 and <= 80 && !protocol.Name.Any(char.IsControl), "name", "The name must have 1 to 80 characters on one line."),
    ];

    private static IEnumerable<ProtocolFault> Ranges(TestProtocol protocol) =>
    [
        .. Need(protocol.StepDb is 1 or 2 or 5, "stepDb", "The step must be 1, 2 or 5 dB."),
        .. Need(protocol.MaskerStepDb is 5 or 10, "maskerStepDb", "The step of the masker must be 5 or 10 dB."),
        .. Need(protocol.CatchRate is >= 0 and <= 0.5, "catchRate", "The chance of a silent catch trial must be 0 to 0.5."),
        .. Need(protocol.FalseResponseLimit is >= 1 and <= 10, "falseResponseLimit", "The responses to silence after which the task is explained again must be 1 to 10."),
        .. Need(protocol.MaximumPresentations is >= 20 and <= 200, "maximumPresentations", "The most tones at one frequency must be 20 to 200."),
        .. Need(protocol.HighestDbHl is >= 50 and <= 120, "highestDbHl", "The highest level must be 50 to 120 dB HL."),
        .. Need(
            protocol.MaskingRules is null || Masking.MaskingRules.ByName(protocol.MaskingRules) is not null,
            "maskingRules",
            $"There is no rule set of this name. Use none, {string.Join(", ", Masking.MaskingRules.All.Select(rules => rules.Name))}."),
    ];

    private static IEnumerable<ProtocolFault> FrequencyFaults(TestProtocol protocol) =>
    [
        .. Need(protocol.AirHz.Count > 0, "airHz", "At least one frequency by air conduction is needed."),
        .. Frequencies(protocol.AirHz, "airHz", hertz => hertz is >= 125 and <= 8000, "from 125 to 8000 Hz; higher ones belong to extendedHighHz"),
        .. Frequencies(protocol.ExtendedHighHz, "extendedHighHz", hertz => hertz is >= 9000 and <= 16_000, "from 9000 to 16000 Hz"),
        .. Frequencies(protocol.BoneHz, "boneHz", hertz => hertz is >= 250 and <= 4000, "from 250 to 4000 Hz, where the standard has bone conduction"),
    ];

    private static IEnumerable<ProtocolFault> Contradictions(TestProtocol protocol)
    {
        var air = protocol.AirHz.ToHashSet();
        return
        [
            .. Clash(
                protocol.Method != ThresholdMethod.Bracketing || protocol.Rule != StoppingRule.TwoOfThree,
                "stoppingRule",
                "method",
                "Bracketing has a full form (three-of-five) and a short form (two-of-three-ascents); two-of-three belongs to the ascending method."),
            .. Clash(protocol.Retest == RetestScope.None || air.Contains(RetestHz), "retest", "airHz", "1000 Hz cannot be measured again, because airHz does not have it. Add 1000 or set retest to none."),
            .. Clash(!protocol.RetestFurther || protocol.Retest != RetestScope.None, "retestFurther", "retest", "Further frequencies follow from the repeat of 1000 Hz, which retest turns off."),
            .. Clash(
                !protocol.InterOctaves || (air.Contains(1000) && (air.Contains(500) || air.Contains(2000))),
                "interOctaves",
                "airHz",
                "Frequencies between octaves need the octaves: airHz has neither 500 and 1000 Hz nor 1000 and 2000 Hz."),
            .. Clash(!protocol.LowExtension || air.Contains(250), "lowExtension", "airHz", "125 Hz is added by what is found at 250 Hz, which airHz does not have."),
            .. Clash(!protocol.LowExtension || !air.Contains(125), "lowExtension", "airHz", "125 Hz cannot be added when airHz has it already."),
            .. Clash(protocol.Bone == BonePlacement.None || protocol.BoneHz.Count > 0, "bone", "boneHz", "Bone conduction is asked for, but boneHz has no frequency."),
            .. Clash(protocol.Bone != BonePlacement.None || protocol.BoneHz.Count == 0, "boneHz", "bone", "Frequencies by bone conduction are given, but bone is none."),
            .. protocol.BoneHz
                .Select((hertz, item) => (hertz, item))
                .Where(one => !air.Contains(one.hertz))
                .Select(one => new ProtocolFault("boneHz", Say($"There is no air-bone gap at {one.hertz} Hz, because airHz does not have it.")) { Item = one.item, With = "airHz" }),
            .. Clash(
                protocol.StepDb != 2 || protocol.MaskingRules is null,
                "stepDb",
                "maskingRules",
                "Masking moves the tone in steps of 5 dB, on which levels in steps of 2 dB do not lie. Use 5 or 1 dB, or set maskingRules to none."),
            .. Clash(!protocol.QuickLookFirst || protocol.Method != ThresholdMethod.Estimate, "quickLookFirst", "method", "The quick look is the estimate, which method asks for already."),
            .. Clash(
                protocol.StepDb is not (1 or 2 or 5) || protocol.HighestDbHl % protocol.StepDb == 0,
                "highestDbHl",
                "stepDb",
                Say($"The highest level must lie on the step of {protocol.StepDb} dB.")),
        ];
    }

    private static IEnumerable<ProtocolFault> Frequencies(IReadOnlyList<int> hertz, string field, Func<int, bool> inRange, string range)
    {
        var seen = new HashSet<int>();
        foreach (var (one, item) in hertz.Select((one, item) => (one, item)))
        {
            if (!AudiometricFrequency.TryFromHertz(one, out _) || !inRange(one))
            {
                yield return new ProtocolFault(field, Say($"{one} Hz is not an audiometric frequency {range}.")) { Item = item };
            }
            else if (!seen.Add(one))
            {
                yield return new ProtocolFault(field, Say($"{one} Hz stands there twice.")) { Item = item };
            }
        }
    }

    private static IEnumerable<ProtocolFault> Need(bool holds, string field, string sentence)
    {
        if (!holds)
        {
            yield return new ProtocolFault(field, sentence);
        }
    }

    private static IEnumerable<ProtocolFault> Clash(bool holds, string field, string with, string sentence) => Need(holds, field, sentence).Select(fault => fault with { With = with });

    private static string Say(FormattableString sentence) => sentence.ToString(CultureInfo.InvariantCulture);

    [GeneratedRegex("^[a-z0-9-]{1,40}$")]
    private static partial Regex IdPattern();
}
