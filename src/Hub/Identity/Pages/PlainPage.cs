using System.Text.Encodings.Web;
using Microsoft.AspNetCore.Antiforgery;
using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Identity.Pages;

/// <summary>A page outside the console: plain, readable by a screen reader, kept by nobody. A form for a passkey brings its one script.</summary>
/// <param name="Status">HTTP status.</param>
/// <param name="Title">Title and first heading, as text.</param>
/// <param name="Body">What stands below, as HTML.</param>
internal sealed record PlainPage(int Status, string Title, string Body) : IResult
{
    /// <summary>Text as HTML.</summary>
    public static string Text(string? text) => HtmlEncoder.Default.Encode(text ?? string.Empty);

    /// <summary>An answer that stands out; nothing when there is none.</summary>
    public static string Answer(string? words, bool halt = true) => words is null ? string.Empty : $"<p class=\"answer{(halt ? " halt" : string.Empty)}\" role=\"alert\">{Text(words)}</p>";

    /// <summary>The hidden field that shows that a form is the hub's own.</summary>
    public static string Token(HttpContext http)
    {
        var tokens = http.RequestServices.GetRequiredService<IAntiforgery>().GetAndStoreTokens(http);
        return $"<input type=\"hidden\" name=\"{tokens.FormFieldName}\" value=\"{tokens.RequestToken}\">";
    }

    /// <summary>A form whose answer comes from a passkey.</summary>
    /// <param name="http">Request of the page.</param>
    /// <param name="kind">"make" or "show".</param>
    /// <param name="action">Where the answer goes; the question is at the same address with "/question" behind it.</param>
    /// <param name="button">Words of its button.</param>
    /// <param name="fields">More of the form, as HTML.</param>
    public static string PasskeyForm(HttpContext http, string kind, string action, string button, string fields = "") =>
        $"""
        <form method="post" action="{Text(action)}" data-passkey="{kind}" data-question="{Text(action)}/question">
        {Token(http)}<input type="hidden" name="credential" value="">{fields}
        <button type="submit">{Text(button)}</button>
        <p role="status"></p>
        </form>
        <noscript><p class="answer">Passkeys need scripts, and this browser runs none.</p></noscript>
        """;

    /// <inheritdoc />
    public Task ExecuteAsync(HttpContext httpContext) =>
        ServerPage.Html(Html(), PlainFiles.Style, Status, HasPasskey ? PlainFiles.Script : null).ExecuteAsync(httpContext);

    private bool HasPasskey => Body.Contains("data-passkey", StringComparison.Ordinal);

    // The address must not reach another site as a referrer. "no-referrer" would also make the browser post the form with the origin "null", which is refused as another site's.
    private string Html() =>
        $"""
        <!doctype html>
        <html lang="en">
        <head>
        <meta charset="utf-8">
        <meta name="viewport" content="width=device-width, initial-scale=1">
        <meta name="referrer" content="same-origin">
        <title>{Text(Title)} - TeleHearing</title>
        <link rel="icon" href="/icon.svg" type="image/svg+xml">
        <style>{PlainFiles.Style}</style>
        {(HasPasskey ? $"<script type=\"module\">{PlainFiles.Script}</script>" : string.Empty)}
        </head>
        <body><main><h1>{Text(Title)}</h1>{Body}</main></body>
        </html>
        """;
}
