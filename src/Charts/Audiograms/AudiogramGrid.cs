using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Noise;

namespace TeleHearing.Charts;

/// <summary>Frame, grid, axis words and the shading of what the room hid.</summary>
internal static class AudiogramGrid
{
    private static readonly int[] _octavesHz = [125, 250, 500, 1000, 2000, 4000, 8000];

    public static double FrameLeft => AudiogramScale.OriginX - AudiogramScale.SideMargin;

    /// <summary>Right edge of the conventional range, and of the chart unless it has extended high frequencies.</summary>
    public static double FrameRight => AudiogramScale.X(AudiogramScale.HighestHz) + AudiogramScale.SideMargin;

    /// <summary>Left and right edge of the extended high frequencies.</summary>
    public static (double Left, double Right) ExtendedFrame =>
        (FrameRight + AudiogramScale.SideMargin - 8, AudiogramScale.X(AudiometricFrequency.ExtendedHigh[^1]) + AudiogramScale.SideMargin + 8);

    public static double FrameTop => AudiogramScale.Y(AudiogramScale.TopDbHl);

    public static double FrameBottom => AudiogramScale.Y(AudiogramScale.BottomDbHl);

    /// <summary>How far the chart reaches to the left of its usual edge, so that the numbers of the levels do not touch the words of their axis when both are larger.</summary>
    public static double MarginForWords(double textScale) => 80 * (textScale - 1);

    public static SvgElement Draw(bool extended, double textScale) => SvgElement.Group(
        "grid",
        [
            .. Levels(FrameLeft, FrameRight), .. LevelNumbers(textScale), .. Frequencies(textScale), Frame(FrameLeft, FrameRight), .. AxisWords(textScale),
            .. extended ? [.. Levels(ExtendedFrame.Left, ExtendedFrame.Right), .. ExtendedFrequencies(textScale), Frame(ExtendedFrame.Left, ExtendedFrame.Right)] : Array.Empty<SvgElement>(),
        ]);

    /// <summary>One block a frequency from the top of the chart down to the lowest level the room let the test prove.</summary>
    public static SvgElement? Hidden(IReadOnlyList<LowestProvableLevel> provable)
    {
        var known = provable
            .Where(level => AudiometricFrequency.TryConventional(level.FrequencyHz, out _) && double.IsFinite(level.LevelDbHl))
            .OrderBy(level => level.FrequencyHz)
            .ToList();
        var blocks = known
            .Select((level, index) => (
                Level: level,
                From: index == 0 ? FrameLeft : Middle(known[index - 1], level),
                To: index == known.Count - 1 ? FrameRight : Middle(level, known[index + 1])))
            .Where(block => block.Level.LevelDbHl > AudiogramScale.TopDbHl)
            .SelectMany(block => Block(block.Level, block.From, block.To))
            .ToList();
        return blocks.Count == 0 ? null : SvgElement.Group("hidden-by-noise", blocks);
    }

    private static double Middle(LowestProvableLevel below, LowestProvableLevel above) =>
        (AudiogramScale.X(below.FrequencyHz) + AudiogramScale.X(above.FrequencyHz)) / 2;

    private static IEnumerable<SvgElement> Block(LowestProvableLevel level, double from, double to)
    {
        var edge = AudiogramScale.Y(level.LevelDbHl);
        yield return SvgElement.Make("rect", ("x", from), ("y", FrameTop), ("width", to - from), ("height", edge - FrameTop), ("fill", Ink.Hidden));
        yield return SvgElement.Line(from, edge, to, edge, Ink.HiddenEdge, 1.4, "2 3");
    }

    private static IEnumerable<SvgElement> Levels(double left, double right)
    {
        for (var level = AudiogramScale.TopDbHl; level <= AudiogramScale.BottomDbHl; level += 10)
        {
            var y = AudiogramScale.Y(level);
            yield return SvgElement.Line(left, y, right, y, level == 0 ? Ink.Frame : Ink.Grid, level == 0 ? 1.6 : 1);
        }
    }

    private static IEnumerable<SvgElement> LevelNumbers(double textScale)
    {
        for (var level = AudiogramScale.TopDbHl; level <= AudiogramScale.BottomDbHl; level += 10)
        {
            yield return SvgElement.Label(FrameLeft - 9, AudiogramScale.Y(level) + 7, OutcomeText.Number(level), 20 * textScale, "end");
        }
    }

    private static IEnumerable<SvgElement> Frequencies(double textScale)
    {
        foreach (var frequency in AudiometricFrequency.All)
        {
            var x = AudiogramScale.X(frequency);
            var octave = _octavesHz.Contains(frequency.Hertz);
            yield return octave
                ? SvgElement.Line(x, FrameTop, x, FrameBottom, Ink.GridStrong, 1)
                : SvgElement.Line(x, FrameTop, x, FrameBottom, Ink.GridStrong, 1, "3 5");
            yield return octave
                ? SvgElement.Label(x, FrameTop - 10, frequency.Hertz.ToString(CultureInfo.InvariantCulture), 20 * textScale, "middle")
                : SvgElement.Label(x, FrameBottom + (21 * textScale), frequency.Hertz.ToString(CultureInfo.InvariantCulture), 17 * textScale, "middle", Ink.Quiet);
        }
    }

    private static IEnumerable<SvgElement> ExtendedFrequencies(double textScale)
    {
        foreach (var frequency in AudiometricFrequency.ExtendedHigh)
        {
            var x = AudiogramScale.X(frequency);
            yield return SvgElement.Line(x, FrameTop, x, FrameBottom, Ink.GridStrong, 1, "3 5");

            // Neighbours' numbers would touch: every other one stands under the chart.
            var above = AudiometricFrequency.ExtendedHigh.Count(lower => lower < frequency) % 2 == 1;
            yield return SvgElement.Label(x, above ? FrameTop - 10 : FrameBottom + (21 * textScale), frequency.Hertz.ToString(CultureInfo.InvariantCulture), 17 * textScale, "middle", Ink.Quiet);
        }
    }

    private static SvgElement Frame(double left, double right) =>
        SvgElement.Make("rect", ("x", left), ("y", FrameTop), ("width", right - left), ("height", FrameBottom - FrameTop), ("fill", "none"), ("stroke", Ink.Frame), ("stroke-width", 1.4));

    private static IEnumerable<SvgElement> AxisWords(double textScale)
    {
        yield return SvgElement.Label((FrameLeft + FrameRight) / 2, FrameTop - 38, "Frequency, Hz", 18 * textScale, "middle", Ink.Quiet);
        var middle = (FrameTop + FrameBottom) / 2;
        var x = 20 - (0.85 * MarginForWords(textScale));
        var level = SvgElement.Label(x, middle, "Hearing level, dB HL (louder downward)", 18 * textScale, "middle", Ink.Quiet);
        yield return level with { Attributes = [.. level.Attributes, KeyValuePair.Create("transform", string.Create(CultureInfo.InvariantCulture, $"rotate(-90 {x:0.##} {middle})"))] };
    }
}
