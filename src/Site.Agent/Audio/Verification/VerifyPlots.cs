using TeleHearing.Audiology;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>The plots of a report.</summary>
internal static class VerifyPlots
{
    /// <summary>All of them; one of which nothing was played is left out.</summary>
    public static IEnumerable<SvgPlot> Of(IReadOnlyList<Finding> findings)
    {
        var levels = findings.Where(finding => Topics.IsLevel(finding.Topic) && finding.SetDb is not null).GroupBy(finding => finding.Topic).OrderBy(group => Topics.Place(group.Key)).Select(group => ByLevel(group.Key, [.. group]));
        string[] topics = [Topics.Frequency, Topics.Harmonics, Topics.DistortionAndNoise, Topics.Crosstalk, Topics.Rise, Topics.Fall, Topics.PulseOn, Topics.PulseOff, Topics.WarbleDeviation, Topics.MaskerWidth];
        return levels.Concat(topics.Select(topic => ByFrequency(topic, [.. findings.Where(finding => finding.Topic == topic && finding.Hertz is not null)]))).Where(plot => plot.Series.Count > 0);
    }

    private static SvgPlot ByLevel(string topic, IReadOnlyList<Finding> findings) => new(
        topic,
        $"level set, {findings[0].SetUnit}",
        "error, dB",
        FrequencyAxis: false,
        topic.EndsWith("noise", StringComparison.Ordinal) ? [-Limits.MaskerBelowDb, Limits.MaskerAboveDb]
            : [.. findings.Where(finding => finding.Hertz is not null).Select(finding => Limits.LevelDb(finding.Hertz!.Value)).Distinct().SelectMany(limit => new[] { -limit, limit })],
        Series(findings, finding => finding.SetDb!.Value, finding => finding.Hertz ?? 0));

    private static SvgPlot ByFrequency(string topic, IReadOnlyList<Finding> findings) => new(
        topic,
        "frequency, Hz",
        AxisOf(topic, findings),
        FrequencyAxis: true,
        LimitsOf(topic),
        Series(findings, finding => finding.Hertz!.Value, _ => 0));

    private static string AxisOf(string topic, IReadOnlyList<Finding> findings) => findings.Count == 0 ? string.Empty : topic switch
    {
        Topics.Frequency => "error, %",
        Topics.Harmonics => "distortion, %",
        Topics.DistortionAndNoise or Topics.Crosstalk => $"level, {findings[0].Unit}",
        Topics.WarbleDeviation => "deviation, %",
        Topics.MaskerWidth => "width, octaves",
        _ => $"time, {findings[0].Unit}",
    };

    private static double[] LimitsOf(string topic) => topic switch
    {
        Topics.Frequency => [-Limits.FrequencyPercent, Limits.FrequencyPercent],
        Topics.Harmonics => [Limits.HarmonicPercent],
        Topics.Crosstalk => [Limits.CrosstalkDb],
        // the upper limit is ten times as high, and a plot that reached it would hide how near the lower one is
        Topics.Rise or Topics.Fall => [Limits.ShortestRampMs],
        Topics.PulseOn or Topics.PulseOff => [Limits.PulseMs - Limits.PulseToleranceMs, Limits.PulseMs + Limits.PulseToleranceMs],
        Topics.WarbleDeviation => [Limits.NarrowestWarblePercent, Limits.WidestWarblePercent],
        Topics.MaskerWidth => [Limits.NarrowestBandOctaves, Limits.WidestBandOctaves],
        _ => [],
    };

    private static IReadOnlyList<PlotSeries> Series(IReadOnlyList<Finding> findings, Func<Finding, double> place, Func<Finding, double> line) =>
    [
        .. findings.GroupBy(finding => (finding.Ear, Line: line(finding))).Select(group => new PlotSeries(
            $"{(group.Key.Ear == Ear.Left ? "left" : "right")} ear {(group.Key.Line > 0 ? Numbers.Hertz(group.Key.Line) : string.Empty)}".TrimEnd(),
            group.Key.Ear == Ear.Right,
            [.. group.Where(finding => finding.Measured is { } value && !double.IsNaN(value))
                .Select(finding => (place(finding), Numbers.IsNothing(finding.Measured!.Value, finding.Unit) ? double.NegativeInfinity : finding.Measured.Value)).OrderBy(point => point.Item1)])),
    ];
}
