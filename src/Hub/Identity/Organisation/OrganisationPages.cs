using System.Text.Encodings.Web;
using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Identity.Organisation;

/// <summary>What a person reads when their organisation's sign-in did not let them in.</summary>
internal static class OrganisationPages
{
    private const string Style = "body{font:1.125rem/1.5 system-ui,sans-serif;color:#1d2a33;background:#f1f3f1;margin:10vh auto;max-width:34rem;padding:0 1rem}a{color:#17545a}";

    /// <summary>Not let in.</summary>
    public static IResult Refused(string sentence) => Page(
        StatusCodes.Status403Forbidden,
        "You are not signed in",
        $"<p>{HtmlEncoder.Default.Encode(sentence)} Nothing has happened.</p><p><a href=\"/sign-in/organisation\">Try again</a>, or use a sign-in link of the clinic.</p>");

    /// <summary>No organisation is set up.</summary>
    public static IResult Absent() => Page(
        StatusCodes.Status404NotFound,
        "No organisation is set up here",
        "<p>This hub has no sign-in through an organisation. Use the sign-in that the clinic gave you.</p>");

    private static IResult Page(int status, string title, string body) => ServerPage.Html(
        $"""
        <!doctype html>
        <html lang="en">
        <head>
        <meta charset="utf-8">
        <meta name="viewport" content="width=device-width, initial-scale=1">
        <title>{title} - TeleHearing</title>
        <link rel="icon" href="/icon.svg" type="image/svg+xml">
        <style>{Style}</style>
        </head>
        <body><main><h1>{title}</h1>{body}</main></body>
        </html>
        """,
        Style,
        status);
}
