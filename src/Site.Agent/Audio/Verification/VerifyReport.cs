using System.Globalization;
using System.Net;
using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization;
using TeleHearing.Audiology;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>What a verification found.</summary>
/// <param name="MadeAt">When.</param>
/// <param name="Device">The output.</param>
/// <param name="Recorded">What was recorded.</param>
/// <param name="Absolute">Whether levels are absolute: the recording was of the very samples played.</param>
/// <param name="Certificate">Certificate whose calibration gave the levels; absent for levels of digital full scale.</param>
/// <param name="Quick">Whether only a few frequencies and levels were played.</param>
/// <param name="Findings">Everything measured.</param>
internal sealed record VerifyReport(DateTimeOffset MadeAt, string Device, string Recorded, bool Absolute, string? Certificate, bool Quick, IReadOnlyList<Finding> Findings)
{
    public const string HtmlFile = "report.html";
    public const string JsonFile = "report.json";
    private const string LeftColour = "#1f5fa8";
    private const string RightColour = "#b3261e";

    // exact silence has a level of minus infinity
    private static readonly JsonSerializerOptions _json = Protocol.Configure(new JsonSerializerOptions { WriteIndented = true, NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals });

    /// <summary>Whether every limit is kept.</summary>
    public bool Passed => Findings.All(finding => finding.Verdict != Verdict.Fail);

    private string LevelUnit => Certificate is null ? "dB of digital full scale" : "dB HL";

    /// <summary>Writes both files.</summary>
    public async Task WriteAsync(string folder, CancellationToken cancellationToken)
    {
        Directory.CreateDirectory(folder);
        await File.WriteAllBytesAsync(Path.Combine(folder, JsonFile), JsonSerializer.SerializeToUtf8Bytes(this, _json), cancellationToken);
        await File.WriteAllTextAsync(Path.Combine(folder, HtmlFile), Html(), cancellationToken);
    }

    /// <summary>One line for each thing looked at: how many, and the worst.</summary>
    public IEnumerable<string> Summary() => Findings.GroupBy(finding => finding.Topic).Select(group =>
    {
        var judged = group.Where(finding => finding.Verdict != Verdict.Told).ToList();
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{group.Key,-44} {judged.Count(finding => finding.Verdict == Verdict.Pass),5} kept {judged.Count(finding => finding.Verdict == Verdict.Fail),4} not {group.Count() - judged.Count,4} told   {Range(group)}");
    });

    private static string Range(IEnumerable<Finding> group)
    {
        var known = group.Where(finding => finding.Measured is { } value && double.IsFinite(value)).ToList();
        if (known.Count == 0)
        {
            return "exactly silent";
        }

        var (lowest, highest) = (Shown(known.Min(finding => finding.Measured!.Value)), Shown(known.Max(finding => finding.Measured!.Value)));
        return lowest == highest ? Invariant($"{lowest:0.####} {known[0].Unit}") : Invariant($"{lowest:0.####} to {highest:0.####} {known[0].Unit}");
    }

    private string Html()
    {
        var page = new StringBuilder();
        page.Append("<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\"><title>Sound output verification</title><style>")
            .Append("body{font:16px/1.45 system-ui,sans-serif;max-width:72rem;margin:2rem auto;padding:0 1rem;color:#1b1b1b}table{border-collapse:collapse;width:100%;font-size:14px}")
            .Append("td,th{border-bottom:1px solid #ccc;padding:.25rem .5rem;text-align:left}.Fail{color:#8c1d18;font-weight:700}.Pass{color:#1d5c2c}svg{width:100%;max-width:40rem;display:block}")
            .Append("svg text{font:11px system-ui,sans-serif;fill:#333}svg .title{font-size:14px;font-weight:600}.frame{fill:none;stroke:#888}.limit{stroke:#8c1d18;stroke-dasharray:5 4}polyline{fill:none;stroke-width:1.5}</style></head><body>");
        page.Append(Invariant($"<h1>Sound output verification: {(Passed ? "every limit kept" : "a limit is not kept")}</h1>"));
        page.Append(Invariant($"<p>{Text(Device)}, recorded from {Text(Recorded)}, {MadeAt:yyyy-MM-dd HH:mm} UTC{(Quick ? ", quick run: a few frequencies and levels only" : "")}.</p>"));
        page.Append(Invariant($"<p>{Text(Meaning())}</p><p>Told: measured but not judged, because nothing limits it or the recording's own noise hides it. Left is blue, right is red, limits are dashed. Limits marked \"from memory\" are to be checked against the bought standard before anything is decided by them. This is a check of the electrical or digital signal; it does not replace an acoustic calibration by a laboratory.</p>"));
        page.Append("<h2>Summary</h2><table><tr><th>Looked at</th><th>Kept</th><th>Not kept</th><th>Told</th><th>From, to</th></tr>");
        foreach (var group in Findings.GroupBy(finding => finding.Topic))
        {
            page.Append(Invariant($"<tr><td>{Text(group.Key)}</td><td>{group.Count(finding => finding.Verdict == Verdict.Pass)}</td><td class=\"{(group.Any(finding => finding.Verdict == Verdict.Fail) ? "Fail" : "")}\">{group.Count(finding => finding.Verdict == Verdict.Fail)}</td><td>{group.Count(finding => finding.Verdict == Verdict.Told)}</td><td>{Text(Range(group))}</td></tr>"));
        }

        page.Append("</table><h2>Plots</h2>");
        foreach (var plot in Plots())
        {
            page.Append(plot.Draw());
        }

        if (!Passed)
        {
            Table(page, "Limits not kept", Findings.Where(finding => finding.Verdict == Verdict.Fail), open: true);
        }

        Table(page, "Everything measured", Findings, open: false);
        return page.Append("</body></html>").ToString();
    }

    private string Meaning() =>
        (Absolute
            ? "The very samples were recorded, so that levels are absolute in dB of digital full scale."
            : "The recording came over a cable: levels are relative to the 1 kHz tone of the same ear, and the absolute level is not judged; what the cable and the input add counts against the output.")
        + (Certificate is null
            ? " No kit was given: levels are digital, not hearing levels."
            : $" Levels were set in dB HL by certificate {Certificate}; that the transducer makes the sound pressure the certificate says is not measured here.");

    private IEnumerable<SvgPlot> Plots()
    {
        yield return Over("level error at every level", $"set level, {LevelUnit}", "dB", false, [-Limits.LevelDb(AudiometricFrequency.All[0].Hertz), Limits.LevelDb(AudiometricFrequency.All[0].Hertz)], finding => finding is { Topic: "level", SetDb: not null, Hertz: not null }, finding => finding.SetDb!.Value, finding => finding.Hertz!.Value);
        yield return ByFrequency("frequency error", "%", "frequency", [-Limits.FrequencyPercent, Limits.FrequencyPercent]);
        yield return ByFrequency("harmonic distortion", "%", "harmonic distortion", [Limits.HarmonicPercent]);
        yield return ByFrequency("distortion and noise", "dB of the tone", "distortion and noise", []);
        yield return ByFrequency("crosstalk to the other ear", "dB of the tone", "crosstalk to the other ear", [Limits.CrosstalkDb]);
        yield return ByFrequency("width of the masker", "octaves", "width of the masker, -3 dB points", [1.0 / 3, 0.5]);
    }

    private SvgPlot ByFrequency(string title, string unit, string topic, double[] limits) =>
        Over(title, "frequency, Hz", unit, true, limits, finding => finding.Topic == topic && finding.Hertz is not null, finding => finding.Hertz!.Value, _ => 0);

    private SvgPlot Over(string title, string x, string unit, bool logarithmic, double[] limits, Func<Finding, bool> which, Func<Finding, double> place, Func<Finding, double> line) => new(
        title,
        x,
        unit,
        logarithmic,
        limits,
        [
            .. Findings.Where(which).GroupBy(finding => (finding.Ear, Line: line(finding))).Select(group => new PlotSeries(
                Invariant($"{group.Key.Ear} {group.Key.Line:0} Hz"),
                group.Key.Ear == Ear.Left ? LeftColour : RightColour,
                [.. group.Where(finding => finding.Measured is not null).Select(finding => (place(finding), finding.Measured!.Value)).OrderBy(point => point.Item1)])),
        ]);

    private void Table(StringBuilder page, string title, IEnumerable<Finding> findings, bool open)
    {
        page.Append(Invariant($"<details{(open ? " open" : "")}><summary><strong>{title}</strong></summary><table><tr><th>What</th><th>Ear</th><th>Hz</th><th>Set, {LevelUnit}</th><th>Measured</th><th>Limit</th><th>Source</th><th>Verdict</th></tr>"));
        foreach (var finding in findings)
        {
            var measured = finding.Measured is { } value ? double.IsFinite(value) ? Invariant($"{Shown(value):0.####} {finding.Unit}") : "exactly silent" : "not found";
            page.Append(Invariant($"<tr><td>{Text(finding.Topic)}</td><td>{finding.Ear}</td><td>{finding.Hertz:0}</td><td>{finding.SetDb:0.##}</td><td>{Text(measured)}</td><td>{Text(finding.Limit)}</td><td>{Text(finding.Source)}</td><td class=\"{finding.Verdict}\">{finding.Verdict}</td></tr>"));
        }

        page.Append("</table></details>");
    }

    /// <summary>Rounded as it is shown, without a sign on nothing.</summary>
    private static double Shown(double value) => Math.Round(value, 4) + 0.0;

    private static string Text(string text) => WebUtility.HtmlEncode(text);

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
