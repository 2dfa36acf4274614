using System.Globalization;
using System.Net;
using System.Text;
using TeleHearing.Audiology;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>The report as a page that needs nothing beside itself.</summary>
internal sealed class VerifyPage(VerifyReport report)
{
    private const string Style = """
        :root{color-scheme:light}
        body{font:16px/1.5 system-ui,"DejaVu Sans",sans-serif;max-width:82rem;margin:2rem auto 4rem;padding:0 1.5rem;color:#1b1b1b;background:#fff}
        h1{font-size:1.75rem;margin:0 0 .25rem}h2{font-size:1.3rem;margin:2.5rem 0 .5rem}p,dd{max-width:60rem}
        .verdict{border-left:.5rem solid #1d5c2c;background:#eef6f0;padding:1rem 1.25rem;margin:1.25rem 0}.verdict.bad{border-color:#8c1d18;background:#fbefee}
        .verdict strong{font-size:1.35rem}.counts{display:flex;flex-wrap:wrap;gap:.5rem 2.5rem;margin:.75rem 0 0;padding:0;list-style:none}.counts b{font-size:1.25rem}
        dl{display:grid;grid-template-columns:max-content 1fr;gap:.25rem 1.5rem;margin:1rem 0}dt{font-weight:600}dd{margin:0}
        table{border-collapse:collapse;width:100%;margin:.5rem 0 1rem}td,th{border-bottom:1px solid #ccc;padding:.4rem 1rem .4rem 0;text-align:left;vertical-align:top}
        th.verdict-name{white-space:normal;max-width:7.5rem}th{font-weight:600;border-bottom:2px solid #555;vertical-align:bottom}.n{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}td.name{min-width:22rem}td.part{white-space:nowrap}td.limits{min-width:17rem}td.name span,td.name b,summary b{display:inline-block}summary b{margin-right:.25rem}
        th.n,td.n{padding-right:1.5rem}
        td:last-child.Kept,td:last-child.NotKept,td:last-child.NotJudged,td:last-child.Information{white-space:nowrap}
        .NotKept{color:#8c1d18;font-weight:700}.Kept{color:#1d5c2c}
        .plots{display:grid;grid-template-columns:repeat(auto-fit,minmax(30rem,1fr));gap:1.5rem 2rem}figure{margin:0}figcaption{font-weight:600}
        figcaption::first-letter,td.name b::first-letter,summary b::first-letter{text-transform:uppercase}.none{border:1px solid #bbb;padding:1rem;margin:.25rem 0}
        svg{width:100%;display:block}svg text{font:13px system-ui,"DejaVu Sans",sans-serif;fill:#1b1b1b}svg .axis{font-size:14px}
        .frame{fill:none;stroke:#555}.grid{stroke:#e2e2e2}.limit{stroke:#1b1b1b;stroke-width:1.5;stroke-dasharray:6 4}
        polyline,path,circle{fill:none;stroke-width:1.5}.left{stroke:#1f5fa8;color:#1f5fa8}.right{stroke:#b3261e;color:#b3261e}b.left,b.right{stroke:none}
        summary{cursor:pointer;padding:.35rem 0}
        @media print{details{display:block}}
        """;

    /// <summary>The page.</summary>
    public string Html()
    {
        var page = new StringBuilder();
        page.Append("<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\"><title>Sound output verification</title><style>").Append(Style).Append("</style></head><body>");
        page.Append("<h1>Sound output verification</h1>");
        Verdicts(page);
        Facts(page);
        HowToRead(page);
        if (!report.Passed)
        {
            page.Append("<h2>Limits not kept</h2>");
            Rows(page, report.Findings.Where(finding => finding.Verdict == Verdict.NotKept), withTopic: true);
        }

        Summary(page);
        page.Append("<h2>Plots</h2><p><b class=\"right\">Right ear: red circles.</b> <b class=\"left\">Left ear: blue crosses.</b> Dashed: limits. Where both ears agree, the marks lie over each other. Over the level set, every frequency has a line of its own, so that a straight line at 0 is all of them.</p><div class=\"plots\">");
        foreach (var plot in VerifyPlots.Of(report.Findings))
        {
            page.Append(plot.Draw());
        }

        page.Append("</div><h2>Everything measured</h2><p>Open a line to see each value.</p>");
        foreach (var (topic, findings) in report.Topics)
        {
            page.Append(Invariant($"<details><summary><b>{Text(topic)}</b> {Numbers.Count(findings.Count)} {(findings.Count == 1 ? "value" : "values")}</summary>"));
            Rows(page, findings, withTopic: false);
            page.Append("</details>");
        }

        return page.Append("</body></html>").ToString();
    }

    private void Verdicts(StringBuilder page)
    {
        page.Append(Invariant($"<div class=\"verdict{(report.Passed ? string.Empty : " bad")}\"><strong>{report.Headline}</strong><ul class=\"counts\">"));
        page.Append(Invariant($"<li><b>{Numbers.Count(report.Judged)}</b> limits judged</li>"));
        foreach (var verdict in VerdictWords.Order)
        {
            page.Append(Invariant($"<li><b>{Numbers.Count(report.Count(verdict))}</b> {VerdictWords.Of(verdict)}</li>"));
        }

        page.Append("</ul></div>");
    }

    private void Facts(StringBuilder page)
    {
        page.Append(Invariant($"<dl><dt>Output</dt><dd>{Text(report.Device)}</dd><dt>Recorded from</dt><dd>{Text(report.Recorded)}</dd><dt>Made at</dt><dd>{report.MadeAt:yyyy-MM-dd HH:mm} UTC</dd>"));
        page.Append(Invariant($"<dt>Extent</dt><dd>{(report.Quick ? "quick run: a few frequencies and levels only; it does not stand for the whole" : "whole run: every kind of sound at every frequency and level, both ears")}</dd>"));
        page.Append(Invariant($"<dt>Levels</dt><dd>{Text(report.Certificate is null ? "digital, in dB of full scale; no kit was given, so they are not hearing levels" : $"set in dB HL by certificate {report.Certificate}; whether the earphone makes the sound pressure of the certificate is not measured here")}</dd>"));
        page.Append(Invariant($"<dt>Reference</dt><dd>{(report.Absolute ? "the very samples were recorded: levels are absolute" : "a cable brought the sound back: levels are relative to the 1 kHz tone of the same ear, and what the cable and the input add counts against the output")}</dd></dl>"));
    }

    private static void HowToRead(StringBuilder page)
    {
        page.Append("<h2>How to read this</h2><p>Known sounds were played through the output, recorded and measured, and each value was put beside its limit.</p><dl>");
        foreach (var verdict in VerdictWords.Order)
        {
            page.Append(Invariant($"<dt>{VerdictWords.Of(verdict)}</dt><dd>{Text(VerdictWords.Meaning(verdict))}</dd>"));
        }

        page.Append("<dt>from memory</dt><dd>the limit is known from memory only. Check it against the purchased standard before you decide anything by it.</dd></dl>")
            .Append("<p>This checks the electrical or digital signal. It does not replace the acoustic calibration by a laboratory, nor the listening check before a session.</p>");
    }

    private void Summary(StringBuilder page)
    {
        page.Append(Invariant($"<h2>Summary</h2><table><tr><th>What, and why it matters</th>{string.Concat(VerdictWords.Order.Select(verdict => $"<th class=\"n verdict-name\">{VerdictWords.Of(verdict)}</th>"))}<th>Measured</th><th>Limit</th></tr>"));
        foreach (var (topic, findings) in report.Topics)
        {
            page.Append(Invariant($"<tr><td class=\"name\"><b>{Text(topic)}</b><span>{Text(Topics.Meaning(topic))}</span></td>"));
            foreach (var verdict in VerdictWords.Order)
            {
                var count = findings.Count(finding => finding.Verdict == verdict);
                page.Append(Invariant($"<td class=\"n {(count > 0 ? verdict : string.Empty)}\">{(count > 0 ? Numbers.Count(count) : "–")}</td>"));
            }

            var limits = findings.Where(finding => finding.Limit.Length > 0).GroupBy(finding => finding.Source).Select(group => $"{string.Join("; ", group.Select(finding => finding.Limit).Distinct())} ({group.Key})");
            page.Append(Invariant($"<td>{Text(Numbers.Range([.. findings]))}</td><td class=\"limits\">{Text(string.Join("; ", limits.DefaultIfEmpty("none known")))}</td></tr>"));
        }

        page.Append("</table>");
    }

    private static void Rows(StringBuilder page, IEnumerable<Finding> findings, bool withTopic)
    {
        var rows = findings.ToList();
        var (hertz, detail, set) = (rows.Exists(row => row.Hertz is not null), rows.Exists(row => row.Detail.Length > 0), rows.Exists(row => row.SetDb is not null));
        page.Append(Invariant($"<table><tr>{(withTopic ? "<th>What</th>" : string.Empty)}<th>Ear</th>{(hertz ? "<th class=\"n\">Frequency</th>" : string.Empty)}{(detail ? "<th>Part</th>" : string.Empty)}{(set ? "<th class=\"n\">Level set</th>" : string.Empty)}<th class=\"n\">Measured</th><th>Limit</th><th>Where the limit is from</th><th>Verdict</th></tr>"));
        foreach (var row in rows)
        {
            page.Append("<tr>");
            page.Append(withTopic ? $"<td>{Text(row.Topic)}</td>" : string.Empty).Append(row.Ear == Ear.Left ? "<td>left</td>" : "<td>right</td>");
            page.Append(hertz ? $"<td class=\"n\">{Numbers.Hertz(row.Hertz)}</td>" : string.Empty).Append(detail ? $"<td class=\"part\">{Text(row.Detail)}</td>" : string.Empty);
            page.Append(set ? $"<td class=\"n\">{(row.SetDb is { } level ? $"{Numbers.Text(level, 0)} {Text(row.SetUnit)}" : string.Empty)}</td>" : string.Empty);
            page.Append(Invariant($"<td class=\"n\">{Text(Numbers.Measured(row))}</td><td>{Text(row.Limit)}</td><td>{Text(row.Source)}</td><td class=\"{row.Verdict}\">{VerdictWords.Of(row.Verdict)}</td></tr>"));
        }

        page.Append("</table>");
    }

    private static string Text(string text) => WebUtility.HtmlEncode(text);

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
