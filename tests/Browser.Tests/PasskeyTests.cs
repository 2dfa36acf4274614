using System.Text.Json;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using TeleHearing.Testing;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>A passkey in a real browser, with the authenticator that Chromium plays for tests (DevTools protocol, domain WebAuthn): the first owner makes one, signs out and comes back with it.</summary>
public sealed class PasskeyTests(SharedBrowser browser, ITestOutputHelper output)
{
    private static readonly TimeSpan _startLimit = TimeSpan.FromSeconds(120);

    private readonly Screens _screens = new(output);

    [Fact]
    public async Task TheFirstOwnerMakesAPasskeyAndComesBackWithIt()
    {
        using var folder = new TempFolder();
        await using var hub = RealProcess.Dotnet(BuiltPrograms.Hub, "serve", "--data", folder.Path, "--urls", $"http://localhost:{FreePorts.Take()}");
        var link = (await hub.WaitForLine("Owner link", _startLimit, TestContext.Current.CancellationToken)).Split(' ')[^1];
        await using var context = await browser.NewPerson(1280, 900);
        var page = await context.NewPageAsync();
        await PlayAuthenticator(context, page);

        await page.GotoAsync(link);
        await _screens.Keep(page, "set-up");
        var form = page.Locator("form[data-passkey]");
        await form.GetByLabel("Your name, as others see it").FillAsync("Runa Aske");
        await form.GetByLabel("Name of this passkey").FillAsync("laptop");
        await page.GetByRole(AriaRole.Button, new() { Name = "Make a passkey" }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Button, new() { Name = "Sign out" })).ToBeVisibleAsync();

        await page.GetByRole(AriaRole.Link, new() { Name = "Runa Aske" }).ClickAsync();
        await Expect(page.GetByText("laptop, since")).ToBeVisibleAsync();
        await _screens.Keep(page, "account");
        await page.GetByRole(AriaRole.Link, new() { Name = "Back to the console" }).ClickAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = "People" }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Rowheader, new() { Name = "Runa Aske" })).ToBeVisibleAsync();
        await _screens.Keep(page, "console-people");
        await page.GetByRole(AriaRole.Button, new() { Name = "Sign out" }).ClickAsync();

        await page.GetByRole(AriaRole.Link, new() { Name = "sign in" }).ClickAsync();
        await _screens.Keep(page, "sign-in-passkey");
        await page.GetByRole(AriaRole.Button, new() { Name = "Sign in with a passkey" }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Button, new() { Name = "Sign out" })).ToBeVisibleAsync();
        await Expect(page.GetByRole(AriaRole.Link, new() { Name = "Runa Aske" })).ToBeVisibleAsync();
    }

    /// <summary>A device with a screen lock that always says yes.</summary>
    private static async Task PlayAuthenticator(IBrowserContext context, IPage page)
    {
        var tools = await context.NewCDPSessionAsync(page);
        await tools.SendAsync("WebAuthn.enable");
        await tools.SendAsync("WebAuthn.addVirtualAuthenticator", new Dictionary<string, object>
        {
            ["options"] = JsonSerializer.SerializeToElement(new { protocol = "ctap2", transport = "internal", hasResidentKey = true, hasUserVerification = true, isUserVerified = true, automaticPresenceSimulation = true }),
        });
    }
}
