namespace TeleHearing.Clinician.Web.Protocols;

/// <summary>A field of a protocol file.</summary>
/// <param name="Name">Name as in the file.</param>
/// <param name="Meaning">What it says.</param>
/// <param name="Values">What it may be, and what holds when it is absent.</param>
public sealed record ProtocolField(string Name, string Meaning, string Values);

/// <summary>What the fields of a protocol file mean, as docs/guides/protocols.md says it: whoever works in a browser has no such file.</summary>
public static class ProtocolFields
{
    /// <summary>Every field, in the order of the file.</summary>
    public static IReadOnlyList<ProtocolField> All { get; } =
    [
        new("id", "stable identifier", "1 to 40 small letters, digits, hyphens; must be given"),
        new("version", "counts up with every change", "from 1; must be given"),
        new("name", "name for people", "1 to 80 characters; must be given"),
        new("method", "method of unmasked thresholds", "ascending, bracketing (ISO 8253-1), estimate; when absent: ascending"),
        new("stoppingRule", "when a search ends", "two-of-three (ASHA 2005), three-of-five and two-of-three-ascents (ISO 8253-1, full and short form); when absent: two-of-three"),
        new("stepDb", "step of the level, dB", "5, 2, 1; when absent: 5"),
        new("tone", "shape of the tones", "steady, pulsed; when absent: pulsed"),
        new("earOrder", "which ear comes first", "better-first (right when not known), right-first, left-first; when absent: better-first"),
        new("airHz", "frequencies by air conduction, in the order of the test", "125, 250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000; must be given"),
        new("retest", "1000 Hz again at the end of the ear", "none, first-ear (ISO 8253-1), both-ears; when absent: first-ear if 1000 Hz is tested"),
        new("retestFurther", "when 1000 Hz changed by 10 dB or more: further frequencies again, in the same order, until one agrees within 5 dB (ISO 8253-1); and up to three where the answers leave doubt whether they are steady", "true, false; when absent: true with a retest"),
        new("interOctaves", "750 and 1500 Hz where the octaves around differ by 20 dB or more (ANSI S3.21)", "true, false; when absent: true if the octaves are tested"),
        new("lowExtension", "125 Hz when 250 Hz is at 25 dB HL or worse", "true, false; when absent: false"),
        new("extendedHighHz", "extended high frequencies, in the order of the test", "9000, 10000, 11200, 12500, 14000, 16000; when absent: none"),
        new("bone", "place of the bone vibrator", "none, mastoid, forehead; when absent: none"),
        new("boneHz", "frequencies by bone conduction, in the order of the test; each must be in airHz", "250 to 4000; when absent: none"),
        new("maskingRules", "rule set that says what must be masked", "none, attenuation-and-gap, attenuation-and-gap-from-ten, deep-insert-and-gap, difference, bone-always; when absent: none"),
        new("maskerStepDb", "step of the masker on the plateau, dB", "5, 10; when absent: 5"),
        new("quickLookFirst", "begin each ear with the estimate of all frequencies", "true, false; when absent: false"),
        new("catchRate", "chance of a silent catch trial before a tone (1 in 5 to 10 is common practice)", "0 to 0.5; when absent: 0.2"),
        new("falseResponseLimit", "responses to silence at one frequency after which the task is explained again", "1 to 10; when absent: 3"),
        new("maximumPresentations", "tones at one frequency after which it ends without a threshold", "20 to 200; when absent: 60"),
        new("highestDbHl", "highest level presented, dB HL, on the step", "50 to 120; when absent: 120"),
    ];
}
