using System.Globalization;
using System.Text.RegularExpressions;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>Both ears searched by the kit, from the console's own panel. Its pictures are the ones of the README (pictures.sh).</summary>
public sealed partial class WholeEarTests(FastClinic clinic, ITestOutputHelper output) : IClassFixture<FastClinic>
{
    /// <summary>How far a threshold may lie from the listener's own, dB: one step of 5 dB for the search and one for the spread of the listener's answers. How near it must be on average is tested elsewhere.</summary>
    private const double AllowedDb = 10;

    // The invented listener of the demonstration: frequency in Hz, right and left ear in dB HL.
    private static readonly (int FrequencyHz, double Right, double Left)[] _listener =
        [(250, 10, 15), (500, 15, 15), (1000, 15, 20), (2000, 25, 35), (4000, 45, 50), (8000, 55, 65)];

    private const string WatchHeights = """
        () => {
          window.latestHeights = new Set();
          window.progressHeights = new Set();
          const look = () => {
            const height = (selector, seen) => { const found = document.querySelector(selector); if (found) { seen.add(found.offsetHeight); } };
            height(".latest", window.latestHeights);
            height(".progress.running", window.progressHeights);
            requestAnimationFrame(look);
          };
          look();
        }
        """;

    private readonly Screens _screens = new(output);

    [Fact]
    public async Task BothEarsAreSearchedAndDrawn()
    {
        await using var console = await clinic.OpenConsole();
        await using var kit = await clinic.OpenKitScreen();
        await Walk.ToTesting(console, kit, "Oda Brekkestad");
        await console.Page.Keyboard.PressAsync("w");
        await _screens.Keep(console.Page, "console-17-whole-ear");

        await console.Page.EvaluateAsync(WatchHeights);
        await console.Search(() => console.Button("Search right").ClickAsync());
        await console.Search(() => console.Button("Search left").ClickAsync(), async () =>
        {
            // Or it was broken off before; then it is searched again, and the picture taken then.
            await Expect(console.Page.GetByText(new Regex("frequency [3-7] of 7|Last search of the left ear: broken off")).First).ToBeVisibleAsync();
            await console.Page.EvaluateAsync("() => window.scrollTo(0, 0)");
            await Screens.KeepWindow(console.Page, "console-testing");
            await Screens.KeepWindow(kit.Page, "kit-testing");
        });

        // What stands above the buttons keeps its height from trial to trial, or they would move under the pointer.
        Assert.Single(await console.Page.EvaluateAsync<double[]>("() => [...window.latestHeights]"));
        Assert.Single(await console.Page.EvaluateAsync<double[]>("() => [...window.progressHeights]"));

        await console.Page.GetByText("The same as a table").First.ClickAsync();
        var table = console.Page.GetByRole(AriaRole.Table, new() { NameRegex = new Regex("^Audiogram of Oda Brekkestad") });
        foreach (var (frequency, right, left) in _listener)
        {
            var cells = await table.GetByRole(AriaRole.Row, new() { NameRegex = new Regex($"^{frequency} Hz") }).GetByRole(AriaRole.Cell).AllInnerTextsAsync();
            Assert.InRange(Level(cells[0]), right - AllowedDb, right + AllowedDb);
            Assert.InRange(Level(cells[1]), left - AllowedDb, left + AllowedDb);
        }

        await Expect(console.Page.GetByRole(AriaRole.Table, new() { Name = "Pure-tone averages" })).Not.ToContainTextAsync("not formed");
        await _screens.Keep(console.Page, "console-18-both-ears");
        _screens.Report();
    }

    private static double Level(string cell)
    {
        var level = LevelPattern().Match(cell);
        Assert.True(level.Success, $"\"{cell}\" is no threshold.");
        return double.Parse(level.Groups[1].Value.Replace('\u2212', '-'), CultureInfo.InvariantCulture);
    }

    [GeneratedRegex(@"^([-\u2212]?\d+) dB HL")]
    private static partial Regex LevelPattern();
}
