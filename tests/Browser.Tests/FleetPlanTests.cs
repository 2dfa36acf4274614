using System.Globalization;
using System.Text.RegularExpressions;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>A coordinator sizes the fleet and plans it: the two pages with the invented clinic's own kits, by keyboard and in both windows.</summary>
public sealed class FleetPlanTests(FastClinic clinic, ITestOutputHelper output) : IClassFixture<FastClinic>
{
    private static readonly (int Width, int Height)[] _windows = [(1440, 900), (1024, 768)];
    private static readonly (string Place, int Days)[] _requests =
    [
        ("Millrace Lane 4, Harrow Ferry", 30), ("Tern Cottage, Sandholm", 32), ("Old School 2, Birkvale", 33), ("Lock House 7, Harrow Ferry", 47), ("Ropewalk 12, Sandholm", 61),
    ];

    private readonly Screens _screens = new(output);

    [Fact]
    public async Task ACoordinatorSizesTheFleetThenPlansAndBooks()
    {
        await using var context = await clinic.Browser.NewPerson(1440, 900);
        var page = await context.NewPageAsync();
        await Clinic.SignIn(page, clinic.CoordinatorLink);
        await SizeTheFleet(page);
        foreach (var (place, days) in _requests)
        {
            await AskForAKit(page, place, days);
        }

        await MakeAPlan(page);
        await BookFromIt(page);
        _screens.Report();
    }

    private async Task SizeTheFleet(IPage page)
    {
        await page.GetByRole(AriaRole.Link, new() { Name = "Loans", Exact = true }).First.ClickAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = "How many kits", Exact = true }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "How many kits", Level = 1 })).ToBeVisibleAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Where the numbers come from" })).ToBeVisibleAsync();
        await Expect(page.GetByText("The answer below rests on the clinic's own records")).ToBeVisibleAsync();
        await Keep(page, "fleet-advice-records", "advice from the records");
        output.WriteLine(await page.GetByRole(AriaRole.Region, new() { Name = "Where the numbers come from" }).InnerTextAsync());
        await page.GetByLabel("Loans asked for in a week").FillAsync("2.1");
        await page.GetByLabel("Days of a cycle").FillAsync("23");
        await page.GetByLabel("Days of a cycle").PressAsync("Enter");
        await Expect(page.GetByText("The answer rests on numbers that were typed in")).ToBeVisibleAsync();
        await Keep(page, "fleet-advice", "advice");
        await page.GetByLabel("Share that may find no kit, %").FillAsync("lots");
        await page.GetByRole(AriaRole.Button, new() { Name = "Work it out" }).PressAsync("Enter");
        await Expect(page.GetByText("Give a share above 0 and below 100 %")).ToBeVisibleAsync();
        await Expect(page.GetByText(new Regex("^Own \\d+ kits: then"))).ToBeVisibleAsync();
        await _screens.Keep(page, "fleet-advice-fault");
        await TabThrough.Everything(page, "fleet advice");
    }

    private async Task AskForAKit(IPage page, string place, int days)
    {
        await page.GotoAsync(new Uri(clinic.Console, "loans").ToString());
        await page.GetByText("Fill in a request").ClickAsync();
        await page.GetByLabel("Day of the session, at the site").FillAsync(Workday(days));
        await page.GetByLabel("Where the kit goes, as on a label").FillAsync(place);
        await page.GetByLabel("Time zone of the site").FillAsync("America/Halifax");
        await page.GetByRole(AriaRole.Button, new() { Name = "Ask for a kit" }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Link, new() { Name = place })).ToBeVisibleAsync();
    }

    private async Task MakeAPlan(IPage page)
    {
        await page.GetByRole(AriaRole.Link, new() { Name = "Plan", Exact = true }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Plan", Level = 1 })).ToBeVisibleAsync();
        await Expect(page.GetByText($"{_requests.Length} requests are waiting for a kit.")).ToBeVisibleAsync();
        await page.GetByLabel("Seconds to search").FillAsync("0");
        await page.GetByRole(AriaRole.Button, new() { Name = "Make a plan" }).PressAsync("Enter");
        await Expect(page.GetByText("Give whole seconds, 1 to 600.")).ToBeVisibleAsync();
        await _screens.Keep(page, "fleet-plan-fault");
        await page.GetByLabel("Seconds to search").FillAsync("120");
        await page.GetByRole(AriaRole.Button, new() { Name = "Make a plan" }).PressAsync("Enter");

        // The search may be over before anybody could press Stop; either way the plan comes.
        var stop = page.GetByRole(AriaRole.Button, new() { Name = "Stop and keep the best so far" });
        var result = page.GetByText(new Regex($"\\d of {_requests.Length} requests get a kit"));
        await Expect(stop.Or(result).First).ToBeVisibleAsync();
        if (await stop.IsVisibleAsync())
        {
            await Screens.KeepWindow(page, "fleet-plan-searching");
            await page.Locator("button.hold, #plan-result").First.FocusAsync();
            await page.Keyboard.PressAsync("Enter");
        }

        await Expect(result).ToBeVisibleAsync();
        await _screens.Keep(page, "fleet-plan-stopped");

        // And once more without stopping it.
        await page.GetByLabel("Seconds to search").FillAsync("10");
        await page.GetByRole(AriaRole.Button, new() { Name = "Make a plan" }).PressAsync("Enter");
        await Expect(page.GetByText(new Regex($"\\d of {_requests.Length} requests get a kit\\.$"))).ToBeVisibleAsync();
        await Expect(stop).ToBeHiddenAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Could not be placed" })).ToBeVisibleAsync();
        output.WriteLine(await page.GetByRole(AriaRole.Region, new() { Name = "The plan" }).InnerTextAsync());
        await Keep(page, "fleet-plan", "plan");
        await TabThrough.Everything(page, "the plan");
    }

    private async Task BookFromIt(IPage page)
    {
        var table = page.GetByRole(AriaRole.Table, new() { Name = "Proposed loans by kit" });
        await table.GetByRole(AriaRole.Button).First.PressAsync("Enter");
        await Expect(table.GetByText("✓ promised")).ToHaveCountAsync(1);
        await page.GetByRole(AriaRole.Button, new() { NameRegex = new Regex("^Book all \\d") }).PressAsync("Enter");
        await Expect(page.GetByText(new Regex("^✓ All \\d are booked|booked\\. ✕ The others"))).ToBeVisibleAsync();
        await Keep(page, "fleet-plan-booked", "plan after booking");

        // The plan is still there after a look at one of its loans.
        await table.GetByRole(AriaRole.Link, new() { NameRegex = new Regex("Harrow Ferry|Sandholm|Birkvale") }).First.ClickAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1, NameRegex = new Regex("Harrow Ferry|Sandholm|Birkvale") })).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = "Plan", Exact = true }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Kit by kit" })).ToBeVisibleAsync();
    }

    private async Task Keep(IPage page, string name, string what)
    {
        foreach (var (width, height) in _windows)
        {
            await page.SetViewportSizeAsync(width, height);
            await _screens.Keep(page, $"{name}-{width}");
            await Fits(page, what);
        }

        // WCAG 2.2, 1.4.10.
        await page.SetViewportSizeAsync(320, 640);
        await Fits(page, what);
        await page.SetViewportSizeAsync(1440, 900);
    }

    private static async Task Fits(IPage page, string what)
    {
        var widths = await page.EvaluateAsync<int[]>("() => [window.innerWidth, document.documentElement.scrollWidth]");
        Assert.True(widths[1] <= widths[0], $"{what}: {widths[1]} px wide in a window of {widths[0]} px.");
    }

    private static string Workday(int days)
    {
        var day = DateOnly.FromDateTime(TimeProvider.System.GetLocalNow().Date).AddDays(days);
        var shift = day.DayOfWeek switch
        {
            DayOfWeek.Saturday => 2,
            DayOfWeek.Sunday => 1,
            _ => 0,
        };
        return day.AddDays(shift).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
    }
}
