using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;

namespace TeleHearing.Hub.Hosting;

/// <summary>Content security policies (W3C Content Security Policy Level 3): what a page of the hub may load and run. Text inside a page runs by its SHA-256 alone.</summary>
internal static partial class ContentPolicy
{
    private const string Everywhere = "object-src 'none'; frame-ancestors 'none'; form-action 'self'";

    /// <summary>Policy of the console, whose own files do everything. Blazor needs leave to compile WebAssembly, which is not leave to evaluate text.</summary>
    /// <param name="host">Host and port as the browser sees them: older browsers do not take 'self' for sockets.</param>
    /// <param name="https">Whether the browser came by HTTPS.</param>
    /// <param name="scripts">Sources of the scripts that stand inside the page, see <see cref="InlineScripts"/>.</param>
    public static string Console(string host, bool https, IReadOnlyList<string> scripts) =>
        $"default-src 'self'; script-src {string.Join(' ', ["'self'", "'wasm-unsafe-eval'", .. scripts])}; style-src 'self'; img-src 'self'; connect-src 'self' {(https ? "wss" : "ws")}://{host}; base-uri 'self'; {Everywhere}";

    /// <summary>Policy of a page that the hub writes: nothing but its own style and script, pictures of the hub, and the hub itself.</summary>
    /// <param name="style">The text between the style tags, exactly.</param>
    /// <param name="script">The text between the script tags, exactly; absent when the page has none.</param>
    public static string Page(string style, string? script) =>
        $"default-src 'none'; style-src {Source(style)}; {(script is null ? string.Empty : $"script-src {Source(script)}; connect-src 'self'; ")}img-src 'self'; base-uri 'none'; {Everywhere}";

    /// <summary>Sources of the scripts inside a file: a build writes the import map of the console into its page.</summary>
    public static IReadOnlyList<string> InlineScripts(string html) =>
        [.. InlineScript().Matches(html).Select(found => found.Groups["text"].Value).Where(text => text.Length > 0).Select(Source)];

    /// <summary>A source that fits one text and no other. Browsers hash it with line ends as the HTML parser leaves them.</summary>
    private static string Source(string text) => $"'sha256-{Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(text.ReplaceLineEndings("\n"))))}'";

    [GeneratedRegex("""<script(?![^>]*\ssrc=)[^>]*>(?<text>.*?)</script>""", RegexOptions.Singleline | RegexOptions.IgnoreCase)]
    private static partial Regex InlineScript();
}
