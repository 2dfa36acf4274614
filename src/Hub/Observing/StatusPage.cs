using System.Globalization;
using System.Text;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity.Pages;

namespace TeleHearing.Hub.Observing;

/// <summary>The owner's page of how the hubs are. It renews itself every five seconds and can be held still (WCAG 2.2, 2.2.2); without scripts it is as of when it was loaded.</summary>
internal static class StatusPage
{
    /// <summary>Address of the page.</summary>
    public const string Path = "/status";

    /// <summary>Only the middle is replaced, and only when it differs, so that a reader is not thrown back to the top.</summary>
    private const string Script =
        """
        const part = document.getElementById("now"), hold = document.getElementById("hold"), said = document.getElementById("said");
        let held = false;
        hold.hidden = false;
        document.getElementById("renews").hidden = false;
        hold.onclick = () => {
          held = !held;
          hold.textContent = held ? "Go on" : "Hold still";
          said.textContent = held ? "The page holds still." : "The page renews itself.";
        };
        setInterval(async () => {
          if (held) { return; }
          try {
            const answer = await fetch("/status/now");
            if (!answer.ok) { throw new Error(); }
            const text = await answer.text();
            if (text !== part.innerHTML) { part.innerHTML = text; }
            said.textContent = "";
          } catch {
            said.textContent = "The hub does not answer. What stands here is older than it looks.";
          }
        }, 5000);
        """;

    /// <summary>The page.</summary>
    public static IResult Whole(HttpContext http, HubStatus status) => ServerPage.Html(
        $"""
        <!doctype html>
        <html lang="en">
        <head>
        <meta charset="utf-8">
        <meta name="viewport" content="width=device-width, initial-scale=1">
        <title>How the hub is - TeleHearing</title>
        <link rel="icon" href="/icon.svg" type="image/svg+xml">
        <style>{PlainFiles.Style}</style>
        <script type="module">{Script}</script>
        </head>
        <body><main><h1>How the hub is</h1>
        <p><a href="/">Back to the console</a></p>
        <p id="said" role="status"></p>
        <div id="now">{Middle(status)}</div>
        <p id="renews" class="hint" hidden>The page renews itself every five seconds.</p>
        <button id="hold" class="plain" hidden>Hold still</button>
        </main></body>
        </html>
        """,
        PlainFiles.Style,
        script: Script);

    /// <summary>What is renewed.</summary>
    public static IResult Part(HubStatus status) => Results.Text(Middle(status), "text/html; charset=utf-8");

    private static string Middle(HubStatus status)
    {
        var worst = status.Findings.Min(finding => finding.Status);
        var text = new StringBuilder();
        text.Append(worst switch
        {
            HealthStatus.Healthy => "<p class=\"answer\">Everything answers.</p>",
            HealthStatus.Degraded => "<p class=\"answer\">Sessions go on. Something needs a look.</p>",
            _ => "<p class=\"answer halt\">Something does not answer.</p>",
        });
        text.Append("<section aria-labelledby=\"looked\"><h2 id=\"looked\">What was looked at</h2><ul class=\"list\">");
        foreach (var (found, what) in status.Findings)
        {
            text.Append(CultureInfo.InvariantCulture, $"<li><strong>{(found == HealthStatus.Healthy ? "In order" : found == HealthStatus.Degraded ? "Needs a look" : "Fails")}:</strong> {PlainPage.Text(what)}</li>");
        }

        text.Append("</ul></section><section aria-labelledby=\"work\"><h2 id=\"work\">At work</h2><ul class=\"list\">");
        text.Append(CultureInfo.InvariantCulture, $"<li>Sessions under way: {status.OpenSessions?.ToString(CultureInfo.InvariantCulture) ?? "cannot be read"}</li>");
        text.Append(status.Answers is { } took
            ? string.Create(CultureInfo.InvariantCulture, $"<li>The latest commands and reports here: half of them durable and answered within {took.Half:0.0} ms, 99 of 100 within {took.Most:0.0} ms</li>")
            : "<li>No command or report has come to this hub yet.</li>");
        text.Append(CultureInfo.InvariantCulture, $"<li>Times the store failed since this hub started: {status.Faults}</li></ul></section>");
        foreach (var hub in status.Hubs)
        {
            text.Append(CultureInfo.InvariantCulture, $"<section><h2>{PlainPage.Text(hub.Name)}{(hub.IsThis ? ", this hub" : string.Empty)}</h2><ul class=\"list\"><li>Version {PlainPage.Text(hub.Version)}, has run for {Length(hub.Up)}</li>");
            text.Append(hub.Count is { } count
                ? string.Create(CultureInfo.InvariantCulture, $"<li>Kits linked: {count.Kits}; sound may be on at {count.Sounding}</li><li>Consoles connected: {count.Consoles}</li>")
                : "<li>It says nothing about its work yet.</li>");
            text.Append("</ul></section>");
        }

        return text.Append(CultureInfo.InvariantCulture, $"<p class=\"hint\">As of {status.At.UtcDateTime:HH:mm:ss} UTC.</p>").ToString();
    }

    private static string Length(TimeSpan up) => up.TotalDays >= 2 ? string.Create(CultureInfo.InvariantCulture, $"{(int)up.TotalDays} days")
        : up.TotalHours >= 2 ? string.Create(CultureInfo.InvariantCulture, $"{(int)up.TotalHours} hours")
        : up.TotalMinutes >= 2 ? string.Create(CultureInfo.InvariantCulture, $"{(int)up.TotalMinutes} minutes")
        : "less than two minutes";
}
