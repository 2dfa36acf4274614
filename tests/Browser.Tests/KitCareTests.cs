using System.Text.RegularExpressions;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>A coordinator looks after a kit: calibration, known-ear check, function check, loan, and the list a failed check opens.</summary>
public sealed class KitCareTests(FastClinic clinic, ITestOutputHelper output) : IClassFixture<FastClinic>
{
    private static readonly string[] _ears = ["Right ear", "Left ear"];
    private readonly Screens _screens = new(output);

    [Fact]
    public async Task ACoordinatorSeesWhatHoldsAKitAndRecordsItsChecks()
    {
        await using var context = await clinic.Browser.NewPerson(1440, 900);
        var page = await context.NewPageAsync();
        await Clinic.SignIn(page, clinic.CoordinatorLink);
        await page.GetByRole(AriaRole.Link, new() { Name = "Kits", Exact = true }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Row, new() { NameRegex = new Regex("^kit-01") })).ToContainTextAsync("✓ holds until");

        await page.GetByRole(AriaRole.Link, new() { Name = "kit-01" }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { NameRegex = new Regex("^kit-01"), Level = 1 })).ToBeVisibleAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Check this kit before it is used" })).ToBeVisibleAsync();
        await _screens.Keep(page, "kit-page");

        await page.GetByText("Enter a check or a baseline").ClickAsync();
        await Measure(page, "E1", "5");
        await page.GetByRole(AriaRole.Button, new() { Name = "Record the baseline" }).ClickAsync();
        await Expect(page.GetByText("The baseline is kept.")).ToBeVisibleAsync();
        await Measure(page, "E1", "10");
        await page.GetByRole(AriaRole.Button, new() { Name = "Record the check" }).ClickAsync();
        await Expect(page.GetByText("✓ no shift of 10 dB or more")).ToBeVisibleAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "This kit may be used" })).ToBeVisibleAsync();

        await Measure(page, "E1", "20");
        await page.GetByRole(AriaRole.Button, new() { Name = "Record the check" }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Alert).Filter(new() { HasText = "Do not use this kit" })).ToContainTextAsync("An exhaustive calibration is needed.");
        await Expect(page.GetByRole(AriaRole.Img, new() { NameRegex = new Regex("largest shift of each ear") })).ToBeVisibleAsync();

        await page.GetByText("Enter a check", new() { Exact = true }).ClickAsync();
        await page.GetByText("Record that it was moved").ClickAsync();
        await page.GetByText("What cannot be done now, and why").ClickAsync();
        await _screens.Keep(page, "kit-page-failed");
        await Expect(page.GetByRole(AriaRole.Term).Filter(new() { HasText = "Promise it to a loan" })).ToBeVisibleAsync();

        await page.SetViewportSizeAsync(320, 640);
        var widths = await page.EvaluateAsync<int[]>("() => [window.innerWidth, document.documentElement.scrollWidth]");
        await _screens.Keep(page, "kit-page-320");
        Assert.True(widths[1] <= widths[0], $"{widths[1]} px wide in a window of {widths[0]} px.");
        await page.SetViewportSizeAsync(1440, 900);
        await page.GetByRole(AriaRole.Link, new() { Name = "All kits", Exact = true }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Row, new() { NameRegex = new Regex("^kit-01") })).ToContainTextAsync("✕ check failed");
        _screens.Report();
    }

    private static async Task Measure(IPage page, string person, string level)
    {
        await page.GetByLabel("Person, as a code").FillAsync(person);
        foreach (var ear in _ears)
        {
            foreach (var hertz in new[] { 500, 1000, 2000, 4000 })
            {
                await page.GetByLabel($"{ear}, {hertz} Hz, dB HL").FillAsync(level);
            }
        }
    }
}
