using System.Reflection;

namespace TeleHearing.Hub.Identity.Pages;

/// <summary>The look and the one script of the pages outside the console. They stand in the pages, which then work without the console's files; browsers let them run by their hash.</summary>
internal static class PlainFiles
{
    /// <summary>The style, as it stands between the style tags.</summary>
    public static string Style { get; } = Read("plain.css");

    /// <summary>The script of passkeys, as it stands between the script tags.</summary>
    public static string Script { get; } = Read("passkey.js");

    private static string Read(string name)
    {
        using var stream = Assembly.GetExecutingAssembly().GetManifestResourceStream(name) ?? throw new InvalidOperationException($"{name} is not in this build.");
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd().ReplaceLineEndings("\n");
    }
}
