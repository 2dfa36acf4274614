using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>Small windows and large zoom: everything is there, nothing scrolls sideways (WCAG 2.2, 1.4.10), and what a finger must hit is large enough.</summary>
public sealed class ReflowTests(FastClinic clinic, ITestOutputHelper output) : IClassFixture<FastClinic>
{
    /// <summary>Smallest side of what is touched on the kit screen, CSS px (WCAG 2.2, 2.5.5, level AAA; level AA asks 24).</summary>
    private const double SmallestTargetPx = 44;

    private readonly Screens _screens = new(output);

    [Fact]
    public async Task NothingScrollsSidewaysAndTargetsAreLarge()
    {
        await using var console = await clinic.OpenConsole(1024, 768);
        await using var kit = await clinic.OpenKitScreen(320, 640);
        await Fits(console.Page, "the day's list");
        await Fits(kit.Page, "the kit screen, ready");

        await Walk.ToTesting(console, kit, "Oda Brekkestad", async stage =>
        {
            await Fits(console.Page, $"the console at {stage}");
            await Fits(kit.Page, $"the kit screen at {stage}");
            await TargetsAreLarge(kit.Page, stage);
            if (stage is "Room noise" or "Testing" or "Ear look")
            {
                var name = stage.ToLowerInvariant().Replace(' ', '-');
                await _screens.Keep(console.Page, $"console-1024-{name}");
                await _screens.Keep(kit.Page, $"kit-320-{name}");
            }
        });

        // A message that comes while Stop is being pressed moves it in a window as small as this one.
        await MovingPage.Touch(kit.StopButton);
        await console.ShowsHeading("Stopped at the site");
        await kit.Shows("Stopped. The sound is off.");
        await Fits(console.Page, "the console after a stop");
        await Fits(kit.Page, "the kit screen after a stop");
        await TargetsAreLarge(kit.Page, "after a stop");
        await _screens.Keep(kit.Page, "kit-320-stopped");
        // It counted when it was touched; the click that came after it is no second one.
        await Expect(console.History.GetByText("Stop was pressed at the site.")).ToHaveCountAsync(1);
        _screens.Report();
    }

    private static async Task Fits(IPage page, string what)
    {
        var (inner, content) = await Widths(page);
        Assert.True(content <= inner, $"{what}: {content} px wide in a window of {inner} px.");
    }

    private static async Task<(int Inner, int Content)> Widths(IPage page)
    {
        var widths = await page.EvaluateAsync<int[]>("() => [window.innerWidth, document.documentElement.scrollWidth]");
        return (widths[0], widths[1]);
    }

    private static async Task TargetsAreLarge(IPage page, string stage)
    {
        foreach (var button in await page.GetByRole(AriaRole.Button).AllAsync())
        {
            var box = await button.BoundingBoxAsync();
            Assert.True(box is { } shown && shown.Width >= SmallestTargetPx && shown.Height >= SmallestTargetPx, $"{stage}: \"{await button.InnerTextAsync()}\" is {box?.Width:0} by {box?.Height:0} px.");
        }
    }
}
