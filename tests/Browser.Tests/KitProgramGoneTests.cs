using System.Globalization;
using System.Text.RegularExpressions;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using TeleHearing.Testing;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>The kit screen when the kit's own program is gone: what it says is so, and stop counts.</summary>
public sealed class KitProgramGoneTests(SharedBrowser browser)
{
    private static readonly TimeSpan _limit = TimeSpan.FromSeconds(120);

    [Fact]
    public async Task AStopPressedWhileTheProgramIsGoneIsInForceWhenItIsBack()
    {
        var cancellation = TestContext.Current.CancellationToken;
        using var folder = new TempFolder();
        var port = FreePorts.Take();
        await using (var provision = RealProcess.Dotnet(BuiltPrograms.SiteAgent, "provision", "--data", folder.Path, "--kit", "simulated"))
        {
            Assert.Equal(0, await provision.WaitForExit(_limit, cancellation));
        }

        await using var first = await StartAgent(folder, port, cancellation);
        await using var context = await browser.NewPerson(1280, 800);
        await using var kit = new KitWindow(await context.NewPageAsync());
        await kit.Page.GotoAsync(string.Create(CultureInfo.InvariantCulture, $"http://localhost:{port}"));
        await kit.Shows("The kit is starting");
        var told = kit.Page.Locator("#cut");

        first.KillHard();
        await first.WaitForExit(_limit, cancellation);

        await Expect(told).ToContainTextAsync("The kit's program does not answer. Take the earphones off.");
        await Expect(told).Not.ToContainTextAsync("Your Stop is taken");
        Assert.DoesNotMatch("(?i)stop still works", await kit.Text());
        await AssertCoversNothing(kit, told);

        await kit.StopButton.ClickAsync();
        await Expect(told).ToContainTextAsync("Your Stop is taken and kept.");
        await Expect(kit.Page.Locator("body")).ToHaveClassAsync(new Regex("stop-taken"));

        await using var second = await StartAgent(folder, port, cancellation);
        await kit.Shows("Stopped. The sound is off.");
        await Expect(told).ToBeEmptyAsync();
        await Expect(kit.Page.Locator("body")).Not.ToHaveClassAsync(new Regex("stop-taken"));

        // held by the program, not by the page: a window that knows nothing of the press shows it too
        await using var fresh = await browser.NewPerson(1280, 800);
        await using var other = new KitWindow(await fresh.NewPageAsync());
        await other.Page.GotoAsync(kit.Page.Url);
        await other.Shows("Stopped. The sound is off.");
    }

    // There is no hub at that address: the kit's screen and its stop need none.
    private static async Task<RealProcess> StartAgent(TempFolder folder, int port, CancellationToken cancellation)
    {
        var agent = RealProcess.Dotnet(
            BuiltPrograms.SiteAgent,
            "run", "--hub", "http://127.0.0.1:1", "--data", folder.Path, "--enrol", "NONE", "--simulate", "demo",
            "--screen", port.ToString(CultureInfo.InvariantCulture));
        await agent.WaitForLine(string.Create(CultureInfo.InvariantCulture, $"kit screen: http://localhost:{port}"), _limit, cancellation);
        return agent;
    }

    private static async Task AssertCoversNothing(KitWindow kit, ILocator told)
    {
        var banner = await told.BoundingBoxAsync() ?? throw new InvalidOperationException("The banner is not shown.");
        foreach (var part in new[] { kit.Page.Locator("header .link"), kit.Page.GetByRole(AriaRole.Main), kit.StopButton })
        {
            var box = await part.BoundingBoxAsync() ?? throw new InvalidOperationException("A part of the screen is not shown.");
            Assert.True(box.Y >= banner.Y + banner.Height, string.Create(CultureInfo.InvariantCulture, $"The banner ends at {banner.Y + banner.Height}, a part begins at {box.Y}."));
        }
    }
}
