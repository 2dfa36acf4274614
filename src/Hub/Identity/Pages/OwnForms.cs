using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.Mvc;

namespace TeleHearing.Hub.Identity.Pages;

/// <summary>Takes forms only from the hub's own pages, opened in the same browser by the same person.</summary>
internal static class OwnForms
{
    /// <summary>Most bytes of a form.</summary>
    private const int LargestForm = 64 * 1024;

    /// <summary>Refuses a form without the token of its page, before anything is done with it.</summary>
    public static RouteHandlerBuilder OwnFormOnly(this RouteHandlerBuilder route) => route
        .WithMetadata(new RequestSizeLimitAttribute(LargestForm))
        .AddEndpointFilter(async (context, next) =>
        {
            var http = context.HttpContext;
            try
            {
                await http.RequestServices.GetRequiredService<IAntiforgery>().ValidateRequestAsync(http);
            }
            catch (Exception fault) when (fault is AntiforgeryValidationException or InvalidDataException or IOException)
            {
                return new PlainPage(
                    StatusCodes.Status400BadRequest,
                    "This page is too old",
                    "<p>It was opened before you signed in or out, in another browser, or long ago. Nothing has happened. Go back, load the page again, and do it once more.</p>");
            }

            return await next(context);
        });
}

/// <summary>The token in a page, for programs that fill in its form as a browser does.</summary>
internal static class FormToken
{
    private const string Before = "name=\"__RequestVerificationToken\" value=\"";

    /// <summary>Name of the field.</summary>
    public const string Field = "__RequestVerificationToken";

    /// <summary>The form of a page without further fields.</summary>
    /// <exception cref="FormatException">The page has no form.</exception>
    public static FormUrlEncodedContent Form(string page, params IEnumerable<(string Name, string Value)> fields)
    {
        var start = page.IndexOf(Before, StringComparison.Ordinal);
        if (start < 0)
        {
            throw new FormatException("The page has no form.");
        }

        var token = page[(start + Before.Length)..page.IndexOf('"', start + Before.Length)];
        return new FormUrlEncodedContent([new(Field, token), .. fields.Select(field => KeyValuePair.Create(field.Name, field.Value))]);
    }
}
