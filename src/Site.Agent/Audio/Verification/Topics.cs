namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>What findings are about, with a sentence on what it means and why it matters.</summary>
internal static class Topics
{
    public const string Frequency = "frequency";
    public const string Harmonics = "harmonic distortion";
    public const string DistortionAndNoise = "distortion and noise";
    public const string Crosstalk = "crosstalk to the other ear";
    public const string Rise = "rise time";
    public const string Fall = "fall time";
    public const string Overshoot = "overshoot";
    public const string PulseOn = "pulse, time on";
    public const string PulseOff = "pulse, time off";
    public const string PulsePlateau = "pulse, plateau";
    public const string PulseRamp = "pulse, longer of rise and fall";
    public const string PulseSilence = "pulse, level between pulses";
    public const string WarbleMiddle = "warble, middle frequency";
    public const string WarbleDeviation = "warble, deviation";
    public const string WarbleRate = "warble, rate";
    public const string MaskerWidth = "masking noise, width of the band";
    public const string MaskerSkirts = "masking noise, skirts of the band";
    public const string Silence = "noise in silence";
    private const string LevelOf = "level of the ";
    private const string StepOf = "steps of the ";

    /// <summary>The order of a report: levels and their steps, the tone, its pulses, the warble, the masker's band, silence.</summary>
    private static readonly List<string> _order =
    [
        .. new[] { "tone", "pulsed tone", "warble tone", "masking noise", "speech noise", "white noise", "pink noise" }.SelectMany(sound => new[] { Level(sound), Steps(sound) }),
        Frequency, Harmonics, DistortionAndNoise, Crosstalk, Rise, Fall, Overshoot,
        PulseOn, PulseOff, PulsePlateau, PulseRamp, PulseSilence,
        WarbleMiddle, WarbleDeviation, WarbleRate, MaskerWidth, MaskerSkirts, Silence,
    ];

    /// <summary>Place of a topic in a report.</summary>
    public static int Place(string topic) => _order.IndexOf(topic);

    /// <summary>Level of one kind of sound.</summary>
    public static string Level(string sound) => LevelOf + sound;

    /// <summary>Steps between neighbouring levels of one kind of sound.</summary>
    public static string Steps(string sound) => StepOf + sound;

    /// <summary>Whether it is about levels.</summary>
    public static bool IsLevel(string topic) => topic.StartsWith(LevelOf, StringComparison.Ordinal);

    /// <summary>What it means and why it matters.</summary>
    public static string Meaning(string topic) => topic switch
    {
        Frequency => "Whether a tone has the pitch that was asked for. A wrong pitch would test another part of the ear.",
        Harmonics => "Power at multiples of the tone. A person may hear a multiple where hearing is better, and a loss would be missed.",
        DistortionAndNoise => "Everything that comes back beside the tone itself. No limit is known; a change from one run to the next shows that something in the path has changed.",
        Crosstalk => "What of a tone arrives on the channel of the other ear. With too much of it the other ear answers for the one under test.",
        Rise => "Time from -20 to -1 dB as a tone begins. Too short, and it begins with a click that is heard at other pitches.",
        Fall => "Time from -1 to -20 dB as a tone ends. Too short, and it ends with a click that is heard at other pitches.",
        Overshoot => "How far a tone rises over its level at its beginning. It would be heard for louder than it is.",
        PulseOn => "Length of each pulse between its -5 dB points. Too short a pulse is harder to hear than a steady tone of its level.",
        PulseOff => "Time between pulses, between the -5 dB points. Without it the pulses run together.",
        PulsePlateau => "How long each pulse stays at its full level. It must be long enough to be heard as loud as a steady tone.",
        PulseRamp => "How long a pulse takes to come or go. Longer, and it has hardly a plateau.",
        PulseSilence => "What is left of the tone midway between two pulses. With too much of it there are no pulses.",
        WarbleMiddle => "The frequency around which a warble tone swings, which must be that of the test.",
        WarbleDeviation => "How far it swings to either side. Too far, and it tests the neighbouring pitches too.",
        WarbleRate => "How often it swings in a second.",
        MaskerWidth => "Width of a narrow band of masking noise between its -3 dB points. Too wide it is louder than it need be, too narrow it sounds like a tone.",
        MaskerSkirts => "How the band falls off outside its edges, against a fall of 12 dB an octave: below 0 dB it falls off faster. What lies outside makes noise louder and masks nothing.",
        Silence => "What is on the channel when nothing is played. It must be inaudible, or it masks the quietest tones.",
        _ when topic.StartsWith(StepOf, StringComparison.Ordinal) => "How far each step from one level to the next is off. A search goes up and down in such steps.",
        _ when topic.EndsWith("noise", StringComparison.Ordinal) => "How far the level is off what was set. Too quiet, a noise does not cover what it should; too loud, it is heard where it should not be.",
        _ => "How far the level is off what was set. A threshold is a level, so this error goes straight into the result.",
    };
}
