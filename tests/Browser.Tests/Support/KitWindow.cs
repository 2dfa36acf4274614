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

    /// <summary>Everything a person can read.</summary>
    public Task<string> Text() => Page.Locator("body").InnerTextAsync();

    public async ValueTask DisposeAsync() => await Page.Context.DisposeAsync();
}
