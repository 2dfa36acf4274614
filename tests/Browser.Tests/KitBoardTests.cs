using System.Text.RegularExpressions;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>A coordinator's day with the kits: today's list, board, timeline, and a kit that is taken in and cleaned.</summary>
public sealed class KitBoardTests(FastClinic clinic, ITestOutputHelper output) : IClassFixture<FastClinic>
{
    private static readonly (int Width, int Height)[] _windows = [(1440, 900), (1024, 768), (390, 844)];
    private readonly Screens _screens = new(output);

    [Fact]
    public async Task BoardTimelineAndListAreReadInEveryWindowAndByKeyboard()
    {
        await using var context = await clinic.Browser.NewPerson(1440, 900);
        var page = await context.NewPageAsync();
        await Clinic.SignIn(page, clinic.CoordinatorLink);
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Today with the kits", Level = 1 })).ToBeVisibleAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { NameRegex = new Regex("^Chase") })).ToBeVisibleAsync();

        foreach (var (width, height) in _windows)
        {
            await page.SetViewportSizeAsync(width, height);
            await Look(page, "kits/today", page.GetByRole(AriaRole.Heading, new() { NameRegex = new Regex("^Chase") }), $"kit-today-{width}");
            await Look(page, "kits", page.Locator("a[data-row]").First, $"kit-board-{width}");
            await Look(page, "kits/timeline", page.Locator(".days path.span").First, $"kit-timeline-{width}");
        }

        await page.SetViewportSizeAsync(1440, 900);
        await ReadTheTimeline(page);
        await WalkTheBoard(page);
        await TakeAKitIn(page);
        _screens.Report();
    }

    private async Task Look(IPage page, string way, ILocator shown, string name)
    {
        await page.GotoAsync(new Uri(clinic.Console, way).ToString());
        await Expect(shown).ToBeVisibleAsync();
        await _screens.Keep(page, name);
        var widths = await page.EvaluateAsync<int[]>("() => [window.innerWidth, document.documentElement.scrollWidth]");
        Assert.True(widths[1] <= widths[0], $"{name}: {widths[1]} px wide in a window of {widths[0]} px.");
    }

    private async Task ReadTheTimeline(IPage page)
    {
        await page.GotoAsync(new Uri(clinic.Console, "kits/timeline").ToString());
        var cell = page.Locator("#timeline-cell");
        await page.GetByRole(AriaRole.Application, new() { Name = "Timeline of kits" }).FocusAsync();
        await page.Keyboard.PressAsync("ArrowDown");
        await Expect(cell).ToContainTextAsync("kit-01, ");
        await page.Keyboard.PressAsync("ArrowDown");
        await page.Keyboard.PressAsync("ArrowDown");
        await page.Keyboard.PressAsync("ArrowDown");
        await Expect(cell).ToContainTextAsync(new Regex("^kit-04, .*today: turnaround"));
        await page.Keyboard.PressAsync("Shift+ArrowLeft");
        await Expect(cell).ToContainTextAsync(new Regex("kit-04, .*: at a site, "));
        await page.Keyboard.PressAsync("-");
        await Expect(page.GetByLabel("year")).ToBeCheckedAsync();
        await Expect(page.Locator(".days path.span").First).ToBeVisibleAsync();
        await _screens.Keep(page, "kit-timeline-year");
        await page.Keyboard.PressAsync("Tab");
        Assert.NotEqual("application", await page.EvaluateAsync<string>("() => document.activeElement.getAttribute('role') ?? ''"));
    }

    private async Task WalkTheBoard(IPage page)
    {
        await page.GotoAsync(new Uri(clinic.Console, "kits").ToString());
        await Expect(page.Locator("a[data-row]").First).ToBeVisibleAsync();
        await page.Keyboard.PressAsync("/");
        await page.Keyboard.TypeAsync("battery");
        await Expect(page.Locator("a[data-row]")).ToHaveCountAsync(1);
        await Expect(page.Locator("tr.kit-line")).ToContainTextAsync("battery suspect");
        await page.GetByLabel("Find").FillAsync(string.Empty);
        await page.Locator("a[data-row]").First.FocusAsync();
        await page.Keyboard.PressAsync("ArrowDown");
        await page.Keyboard.PressAsync("ArrowDown");
        await Expect(page.Locator("a[data-row]").Nth(2)).ToBeFocusedAsync();
        await TabThrough.Everything(page, "the kit board");
    }

    private async Task TakeAKitIn(IPage page)
    {
        await page.GotoAsync(new Uri(clinic.Console, "kits/today").ToString());
        await page.GetByRole(AriaRole.Button, new() { Name = "Begin cleaning, kit-04" }).ClickAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = "kit-04", Exact = true }).First.ClickAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { NameRegex = new Regex("^kit-04"), Level = 1 })).ToBeVisibleAsync();
        await Expect(page.GetByText("being cleaned").First).ToBeVisibleAsync();
        foreach (var done in await page.GetByLabel("Done, and so it is").AllAsync())
        {
            await done.CheckAsync();
        }

        // What is discarded is counted: nothing, so far.
        await Expect(page.GetByRole(AriaRole.Button, new() { Name = "Sign the cleaning" })).ToHaveAttributeAsync("aria-disabled", "true");
        foreach (var discarded in await page.GetByLabel(new Regex("^Discarded: ")).AllAsync())
        {
            await discarded.FillAsync("0");
        }

        await _screens.Keep(page, "kit-page-cleaning");
        await page.GetByRole(AriaRole.Button, new() { Name = "Sign the cleaning" }).ClickAsync();
        await Expect(page.GetByText("Cleaning is signed.")).ToBeVisibleAsync();
        await Expect(page.GetByText("being looked over").First).ToBeVisibleAsync();
        foreach (var (width, height) in _windows)
        {
            await page.SetViewportSizeAsync(width, height);
            await _screens.Keep(page, $"kit-page-{width}");
            var widths = await page.EvaluateAsync<int[]>("() => [window.innerWidth, document.documentElement.scrollWidth]");
            var outside = await page.EvaluateAsync<string[]>("() => [...document.querySelectorAll('main *')].filter(one => one.getBoundingClientRect().right > window.innerWidth && !one.closest('[tabindex]:not(main, h1)')).slice(0, 5).map(one => one.outerHTML.slice(0, 200))");
            Assert.True(widths[1] <= widths[0], $"{widths[1]} px wide in a window of {widths[0]} px:\n{string.Join('\n', outside)}");
        }
    }
}
