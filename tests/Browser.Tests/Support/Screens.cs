using Microsoft.Playwright;

namespace TeleHearing.Browser.Tests.Support;

/// <summary>Keeps a picture of every screen a test came by, and checks each against the accessibility rules.</summary>
public sealed class Screens(ITestOutputHelper output)
{
    private readonly Dictionary<string, int> _checked = [];

    /// <summary>Folder of the pictures.</summary>
    public static string Folder { get; } = Directory.CreateDirectory(Path.Combine(AppContext.BaseDirectory, "screens")).FullName;

    /// <summary>Keeps a picture of the whole page and checks it.</summary>
    public async Task Keep(IPage page, string name)
    {
        // The window is made as high as the page for a moment, so that what sticks to its lower edge covers nothing.
        var window = page.ViewportSize ?? throw new InvalidOperationException("The page has no window.");
        var height = await page.EvaluateAsync<int>("() => document.documentElement.scrollHeight");
        await page.SetViewportSizeAsync(window.Width, Math.Max(height, window.Height));
        await KeepWindow(page, name);
        await page.SetViewportSizeAsync(window.Width, window.Height);
        _checked[name] = await Access.Check(page, name);
    }

    /// <summary>Keeps a picture of what fits in the window, as the documentation shows it.</summary>
    public static Task KeepWindow(IPage page, string name) =>
        page.ScreenshotAsync(new PageScreenshotOptions { Path = Path.Combine(Folder, name + ".png"), Animations = ScreenshotAnimations.Disabled });

    /// <summary>Writes what was checked and where the pictures are.</summary>
    public void Report()
    {
        output.WriteLine($"Pictures: {Folder}");
        output.WriteLine($"{_checked.Count} screens without a violation; rules applied: {string.Join(", ", _checked.Select(pair => $"{pair.Key} {pair.Value}"))}");
    }
}
