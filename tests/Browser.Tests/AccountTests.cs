using System.Text.RegularExpressions;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>Who sees what, and how one gets in.</summary>
public sealed class AccountTests(FastClinic clinic, ITestOutputHelper output) : IClassFixture<FastClinic>
{
    private readonly Screens _screens = new(output);

    [Fact]
    public async Task CoordinatorSeesKitsAndNoSessions()
    {
        await using var clinician = await clinic.OpenConsole();
        var session = await clinician.Page.GetByRole(AriaRole.Link, new() { NameRegex = new Regex("^Open the session of Oda Brekkestad") }).GetAttributeAsync("href");
        await using var context = await clinic.Browser.NewPerson(1440, 900);
        var page = await context.NewPageAsync();

        await Clinic.SignIn(page, clinic.CoordinatorLink);

        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Today with the kits", Level = 1 })).ToBeVisibleAsync();
        await _screens.Keep(page, "console-coordinator-today");
        await page.GetByRole(AriaRole.Link, new() { Name = "Kits", Exact = true }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Kit board", Level = 1 })).ToBeVisibleAsync();
        foreach (var kit in new[] { "kit-01", "kit-02", "kit-03" })
        {
            await Expect(page.GetByRole(AriaRole.Rowheader, new() { NameRegex = new Regex($"^{kit}") })).ToBeVisibleAsync();
        }

        await Expect(page.GetByRole(AriaRole.Row, new() { NameRegex = new Regex("^kit-01") })).ToContainTextAsync("● online");
        await Expect(page.GetByRole(AriaRole.Link, new() { NameRegex = new Regex("^Open the session") })).ToHaveCountAsync(0);
        Assert.DoesNotContain("Ollerenshaw", await page.ContentAsync(), StringComparison.Ordinal);
        await _screens.Keep(page, "console-coordinator");

        await page.GotoAsync(new Uri(clinic.Console, session).ToString());
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "This session cannot be shown" })).ToBeVisibleAsync();
        await _screens.Keep(page, "console-not-shown");
        var record = await context.APIRequest.GetAsync(new Uri(clinic.Console, $"api/{session}/record").ToString());
        Assert.Contains(record.Status, new[] { 403, 404 });
    }

    [Fact]
    public async Task NotSignedInSeesNothing()
    {
        await using var context = await clinic.Browser.NewPerson(1440, 900);
        var page = await context.NewPageAsync();

        await page.GotoAsync(clinic.Console.ToString());

        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "You are not signed in", Level = 1 })).ToBeVisibleAsync();
        await Expect(page.GetByRole(AriaRole.Button, new() { Name = "Sign out" })).ToHaveCountAsync(0);
        await _screens.Keep(page, "console-not-signed-in");
        foreach (var path in new[] { "api/me", "api/board" })
        {
            Assert.Equal(401, (await context.APIRequest.GetAsync(new Uri(clinic.Console, path).ToString())).Status);
        }

        Assert.Equal(401, (await context.APIRequest.PostAsync(new Uri(clinic.Console, "hubs/console/negotiate?negotiateVersion=1").ToString())).Status);
    }

    [Fact]
    public async Task ASignInLinkWorksOnce()
    {
        await using var first = await clinic.Browser.NewPerson(1440, 900);
        await using var second = await clinic.Browser.NewPerson(1440, 900);
        var looking = await second.NewPageAsync();
        await looking.GotoAsync(clinic.SecondClinicianLink.ToString());
        await Expect(looking.GetByRole(AriaRole.Button, new() { Name = "Sign in" })).ToBeVisibleAsync();
        await _screens.Keep(looking, "sign-in");

        var page = await first.NewPageAsync();
        await Clinic.SignIn(page, clinic.SecondClinicianLink);
        await Expect(page.GetByText("Ivo Lindqvist")).ToBeVisibleAsync();
        await looking.GetByRole(AriaRole.Button, new() { Name = "Sign in" }).ClickAsync();

        await Expect(looking.GetByRole(AriaRole.Heading, new() { Name = "This sign-in link no longer works" })).ToBeVisibleAsync();
        await _screens.Keep(looking, "sign-in-spent");
        await looking.GotoAsync(clinic.Console.ToString());
        await Expect(looking.GetByRole(AriaRole.Heading, new() { Name = "You are not signed in" })).ToBeVisibleAsync();

        await page.GetByRole(AriaRole.Button, new() { Name = "Sign out" }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "You are signed out" })).ToBeVisibleAsync();
        await page.GotoAsync(clinic.Console.ToString());
        await Expect(page.GetByRole(AriaRole.Heading, new() { Name = "You are not signed in" })).ToBeVisibleAsync();
    }
}
