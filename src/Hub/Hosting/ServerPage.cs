using System.Text;

namespace TeleHearing.Hub.Hosting;

/// <summary>A page that the hub writes itself, with a policy that lets it run its own style and script and nothing that somebody else may have brought into it.</summary>
internal static class ServerPage
{
    /// <summary>Answers with a page.</summary>
    /// <param name="html">The whole document. What is not of this program is encoded by whoever wrote it.</param>
    /// <param name="style">The text between its style tags, exactly.</param>
    /// <param name="status">HTTP status.</param>
    /// <param name="script">The text between its script tags, exactly; absent when it has none.</param>
    public static IResult Html(string html, string style, int status = StatusCodes.Status200OK, string? script = null) =>
        new Answer(html, ContentPolicy.Page(style, script), status);

    private sealed class Answer(string html, string policy, int status) : IResult
    {
        public Task ExecuteAsync(HttpContext httpContext)
        {
            httpContext.Response.Headers.ContentSecurityPolicy = policy;
            httpContext.Response.Headers.CacheControl = "no-store";
            return Results.Content(html, "text/html; charset=utf-8", Encoding.UTF8, status).ExecuteAsync(httpContext);
        }
    }
}
