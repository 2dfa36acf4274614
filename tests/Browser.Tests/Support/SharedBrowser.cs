using Microsoft.Playwright;

[assembly: AssemblyFixture(typeof(TeleHearing.Browser.Tests.Support.SharedBrowser))]

namespace TeleHearing.Browser.Tests.Support;

/// <summary>The machine's own Chromium, started once for all tests. Every person gets a context of their own in it.</summary>
public sealed class SharedBrowser : IAsyncLifetime
{
    // The machine that runs the tests may be slow; a wait ends as soon as what is waited for is there.
    private const float LongestWaitMs = 60_000;

    private static readonly string[] _names = ["chromium", "chromium-browser", "google-chrome"];
    private IPlaywright? _playwright;
    private IBrowser? _browser;

    public async ValueTask InitializeAsync()
    {
        Assertions.SetDefaultExpectTimeout(LongestWaitMs);
        _playwright = await Playwright.CreateAsync();
        _browser = await _playwright.Chromium.LaunchAsync(new BrowserTypeLaunchOptions
        {
            ExecutablePath = Find(),
            Args = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run"],
        });
    }

    public async ValueTask DisposeAsync()
    {
        if (_browser is not null)
        {
            await _browser.DisposeAsync();
        }

        _playwright?.Dispose();
    }

    /// <summary>A person's browser: nothing stored in it but a sign-in, if one is given.</summary>
    /// <param name="signIn">Stored sign-in, from <see cref="IBrowserContext.StorageStateAsync"/>.</param>
    public async Task<IBrowserContext> NewPerson(int width, int height, string? signIn = null)
    {
        var context = await (_browser ?? throw new InvalidOperationException("The browser is not started.")).NewContextAsync(new BrowserNewContextOptions
        {
            ViewportSize = new ViewportSize { Width = width, Height = height },
            StorageState = signIn,
            Locale = "en-GB",
            ReducedMotion = ReducedMotion.Reduce,
        });
        context.SetDefaultTimeout(LongestWaitMs);
        return context;
    }

    private static string Find() =>
        (Environment.GetEnvironmentVariable("PATH") ?? string.Empty).Split(Path.PathSeparator)
            .SelectMany(folder => _names.Select(name => Path.Combine(folder, name)))
            .FirstOrDefault(File.Exists)
        ?? throw new FileNotFoundException($"No browser was found ({string.Join(", ", _names)}). Install the package \"chromium\".");
}
