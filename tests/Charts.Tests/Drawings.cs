using System.Globalization;
using System.Xml.Linq;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Charts;

namespace TeleHearing.Charts.Tests;

/// <summary>Shortcuts for drawing and looking at what was drawn.</summary>
internal static class Drawings
{
    public static AudiogramPoint Threshold(Ear ear, int hertz, double level) => At(ear, hertz, new ThresholdOutcome.Established(level));

    public static AudiogramPoint At(Ear ear, int hertz, ThresholdOutcome outcome, bool superseded = false) =>
        new(ear, AudiometricFrequency.FromHertz(hertz), outcome, superseded);

    public static SvgElement Draw(params AudiogramPoint[] points) => AudiogramLayout.Draw(new Audiogram("Test", points));

    public static IReadOnlyList<SvgElement> WithClass(this SvgElement root, string css) =>
        [.. root.Flatten().Where(element => element["class"]?.Split(' ').Contains(css) == true)];

    public static double Number(this SvgElement element, string attribute) =>
        double.Parse(element[attribute]!, CultureInfo.InvariantCulture);

    public static XDocument Parse(string svg) => XDocument.Parse(svg);
}
