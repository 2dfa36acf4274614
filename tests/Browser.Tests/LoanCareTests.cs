using System.Text.RegularExpressions;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>A coordinator lends a kit: request, dates, choice, papers; and the pages of calendars, errands and incidents.</summary>
public sealed class LoanCareTests(FastClinic clinic, ITestOutputHelper output) : IClassFixture<FastClinic>
{
    private readonly Screens _screens = new(output);

    [Fact]
    public async Task ACoordinatorAsksForAKitAndChoosesOneByTheKeyboard()
    {
        await using var context = await clinic.Browser.NewPerson(1440, 900);
        var page = await context.NewPageAsync();
        await Clinic.SignIn(page, clinic.CoordinatorLink);
        await page.GetByRole(AriaRole.Link, new() { Name = "Loans", Exact = true }).First.ClickAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Loans", Level = 1 })).ToBeVisibleAsync();

        var summary = page.GetByText("Fill in a request");
        await summary.FocusAsync();
        await page.Keyboard.PressAsync("Enter");
        await page.GetByLabel("Day of the session, at the site").FillAsync(DateOnly.FromDateTime(TimeProvider.System.GetLocalNow().Date).AddDays(30).ToString("yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture));
        await page.GetByLabel("Where the kit goes, as on a label").FillAsync("Millrace Lane 4, Harrow Ferry");
        await page.GetByLabel("Time zone of the site").FillAsync("America/Halifax");
        await page.GetByRole(AriaRole.Button, new() { Name = "Show the dates and the kits" }).PressAsync("Enter");
        await Expect(page.GetByRole(AriaRole.Img, new() { NameRegex = new Regex("Days of the loan") })).ToBeVisibleAsync();
        await _screens.Keep(page, "loans-request");
        await Access.Check(page, "a request for a kit");
        await page.GetByRole(AriaRole.Button, new() { Name = "Ask for a kit" }).PressAsync("Enter");
        await page.GetByRole(AriaRole.Link, new() { Name = "Millrace Lane 4, Harrow Ferry" }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Choose a kit" })).ToBeVisibleAsync();
        await Expect(page.GetByText("Kits that would do, and why the others would not")).ToBeVisibleAsync();
        await _screens.Keep(page, "loan-choose");
        await page.SetViewportSizeAsync(1024, 768);
        await _screens.Keep(page, "loan-choose-1024");
        await Access.Check(page, "choosing a kit");
        await Reflows(page, "choosing a kit");

        foreach (var (link, name) in new[] { ("Calibration errands", "errands"), ("Incidents", "incidents"), ("Calendars and terms", "fleet-settings") })
        {
            await page.GetByRole(AriaRole.Link, new() { Name = link }).ClickAsync();
            await Expect(page.GetByRole(AriaRole.Heading, new() { Name = link, Level = 1 })).ToBeVisibleAsync();
            await _screens.Keep(page, name + "-1024");
            await Access.Check(page, link);
            await Reflows(page, link);
        }

        _screens.Report();
    }

    private static async Task Reflows(IPage page, string what)
    {
        await page.SetViewportSizeAsync(320, 640);
        var widths = await page.EvaluateAsync<int[]>("() => [window.innerWidth, document.documentElement.scrollWidth]");
        Assert.True(widths[1] <= widths[0], $"{what}: {widths[1]} px wide in a window of {widths[0]} px.");
        await page.SetViewportSizeAsync(1024, 768);
    }
}
