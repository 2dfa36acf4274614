namespace TeleHearing.Benchmarks;

/// <summary>What others found on real people, to be read beside what simulated ones give.</summary>
/// <param name="What">What was compared.</param>
/// <param name="Value">What was found.</param>
/// <param name="Source">Where it was read; all confirmed in the abstracts.</param>
internal sealed record PublishedFigure(string What, string Value, string Source)
{
    public static IReadOnlyList<PublishedFigure> All { get; } =
    [
        new("automated against manual, air, 29 reports", "mean 0.4 dB, SD 6.1 dB", "Mahomed 2013, Ear Hear 34:745"),
        new("manual test and retest", "mean 1.3 dB, SD 6.1 dB", "Mahomed 2013"),
        new("automated test and retest", "mean 0.3 dB, SD 6.9 dB", "Mahomed 2013"),
        new("ascending search online, test and retest", "mean absolute 1.88 dB, SD 3.56 dB", "Barbour 2019, Ear Hear 40:918"),
        new("automated, 1 dB steps, between sessions", "91.5 % within 5 dB, 98.1 % within 10 dB", "Henry 2001, JRRD 38:567"),
        new("outside a booth against a booth, air, 147 adults", "95 % within 5 dB of 2259", "Maclennan-Smith 2013, Int J Audiol 52:66"),
        new("the same by bone", "86 % within 5 dB of 1669", "Maclennan-Smith 2013"),
        new("automated in a room against manual in a booth, 83 people", "mean -0.15 to 0.69 dB, SD 4.5 to 6.2 dB", "Liu 2023, Front Neurosci 17:1292395"),
        new("masked against conventional, low and high asymmetry", "mean absolute 4.9 and 2.6 dB; 0 of 6200 tones heard by the other ear", "Heisey 2020, Ear Hear"),
    ];
}
