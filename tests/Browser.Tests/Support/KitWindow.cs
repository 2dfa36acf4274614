using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests.Support;

/// <summary>The kit screen as the assistant and the person use it: by what is written on it.</summary>
public sealed class KitWindow(IPage page) : IAsyncDisposable
{
    /// <summary>The page.</summary>
    public IPage Page { get; } = page;

    /// <summary>The stop button.</summary>
    public ILocator StopButton => Page.GetByRole(AriaRole.Button, new() { Name = "Stop" });

    /// <summary>The response pad.</summary>
    public ILocator Pad => Page.GetByRole(AriaRole.Button, new() { NameRegex = new Regex("^Press when you hear a sound") });

    /// <summary>Waits until the goal of the card reads so.</summary>
    public Task Shows(string goal) => Expect(Page.GetByRole(AriaRole.Heading, new() { Level = 1, Name = goal })).ToBeVisibleAsync();

    /// <summary>Waits for a line of text.</summary>
    public Task Says(string words) => Expect(Page.GetByText(words).First).ToBeVisibleAsync();

    /// <summary>Marks the card done and waits until the screen thanks for it.</summary>
    public async Task MarkDone()
    {
        await Page.GetByRole(AriaRole.Button, new() { Name = "Done", Exact = true }).ClickAsync();
        await Says("Done. Thank you.");
    }

    /// <summary>Calls for help.</summary>
    public async Task CallForHelp()
    {
        await Page.GetByRole(AriaRole.Button, new() { Name = "Call for help" }).ClickAsync();
        await Says("Help is called. Please wait.");
    }

    /// <summary>Touches Stop with one finger while another holds the response pad, and lifts neither until all is seen: the browser makes no click of that.</summary>
    /// <param name="whileHeld">What is to be seen.</param>
    public async Task TouchStopBesideTheHeldPad(Func<Task> whileHeld)
    {
        var (pad, stop) = (await MovingPage.MiddleOf(Pad), await MovingPage.MiddleOf(StopButton));
        var fingers = new[] { new { x = pad.X, y = pad.Y, id = 1 }, new { x = stop.X, y = stop.Y, id = 2 } };
        var browser = await Page.Context.NewCDPSessionAsync(Page);
        await browser.SendAsync("Input.dispatchTouchEvent", new() { ["type"] = "touchStart", ["touchPoints"] = fingers[..1] });
        await browser.SendAsync("Input.dispatchTouchEvent", new() { ["type"] = "touchStart", ["touchPoints"] = fingers });
        await whileHeld();
        await browser.SendAsync("Input.dispatchTouchEvent", new() { ["type"] = "touchEnd", ["touchPoints"] = Array.Empty<object>() });
        await browser.DetachAsync();
    }

    /// <summary>Everything a person can read.</summary>
    public Task<string> Text() => Page.Locator("body").InnerTextAsync();

    public async ValueTask DisposeAsync() => await Page.Context.DisposeAsync();
}
