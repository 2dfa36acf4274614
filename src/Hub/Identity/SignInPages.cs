using System.Text.Encodings.Web;
using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Identity;

/// <summary>The sign-in pages: plain, without script, readable by a screen reader.</summary>
internal static class SignInPages
{
    public static IResult Offer(string code) => Page(
        StatusCodes.Status200OK,
        "Sign in",
        $"""
        <p>This link signs you in once, in this browser. Do not use it on a computer that others use.</p>
        <form method="post" action="/sign-in/{HtmlEncoder.Default.Encode(code)}"><button type="submit">Sign in</button></form>
        """);

    public static IResult Spent() => Page(
        StatusCodes.Status410Gone,
        "This sign-in link no longer works",
        "<p>It was used before, or it is too old. Nothing has happened. Ask the clinic for a new link.</p>");

    public static IResult SignedOut() => Page(
        StatusCodes.Status200OK,
        "You are signed out",
        "<p>Use a new sign-in link to come back.</p>");

    private const string Style = """

        body { font: 1.125rem/1.5 system-ui, sans-serif; color: #1d2a33; background: #f1f3f1; margin: 10vh auto; max-width: 34rem; padding: 0 1rem; }
        button { font: inherit; min-height: 48px; padding: 0 2rem; color: #fff; background: #17545a; border: 2px solid #17545a; border-radius: 6px; }
        button:focus-visible { outline: 3px solid #1a1a1a; outline-offset: 3px; }

        """;

    // The link must not reach another site as a referrer. "no-referrer" would also make the browser post the form with the origin "null", which is refused as another site's.
    private static IResult Page(int status, string title, string body) => ServerPage.Html(
        $$"""
        <!doctype html>
        <html lang="en">
        <head>
        <meta charset="utf-8">
        <meta name="viewport" content="width=device-width, initial-scale=1">
        <meta name="referrer" content="same-origin">
        <title>{{title}} - TeleHearing</title>
        <link rel="icon" href="/icon.svg" type="image/svg+xml">
        <style>{{Style}}</style>
        </head>
        <body><main><h1>{{title}}</h1>{{body}}</main></body>
        </html>
        """,
        Style,
        status);
}
