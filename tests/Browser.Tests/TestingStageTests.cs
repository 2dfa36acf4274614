using System.Text.RegularExpressions;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>What must hold on both screens while tones are presented.</summary>
public sealed partial class TestingStageTests(ClinicAtTesting clinic) : IClassFixture<ClinicAtTesting>
{
    private const string MoveThePage = """() => document.querySelector(".hands").insertAdjacentHTML("afterbegin", "<div id='pushed' style='height: 90px'></div>")""";

    private const string MoveThePageBack = """() => document.getElementById("pushed").remove()""";

    private ConsoleWindow Console => clinic.AtConsole;

    private KitWindow Kit => clinic.AtKit;

    [Fact]
    public async Task TheKitScreenNeverShowsALevelOrASide()
    {
        await Expect(Kit.Pad).ToBeVisibleAsync();
        // Not only words could give a tone away: no part of the page may change while tones and silent trials come and go.
        await Kit.Page.EvaluateAsync("""
            () => {
              window.kept = [document.body.innerText];
              window.changes = [];
              new MutationObserver(all => {
                window.changes.push(...all.map(one => `${one.type} ${one.target.nodeName} ${one.attributeName ?? ""}`));
                window.kept.push(document.body.innerText);
              }).observe(document.body, { subtree: true, childList: true, attributes: true, characterData: true });
            }
            """);

        var polled = new List<string>();
        await Console.SearchHere(async () =>
        {
            while (await Console.Page.GetByText("Searching the right ear").First.IsVisibleAsync())
            {
                polled.Add(await Kit.Text());
            }
        });

        var kept = await Kit.Page.EvaluateAsync<string[]>("() => window.kept");
        Assert.NotEmpty(polled);
        Assert.All(kept.Concat(polled), text => Assert.DoesNotMatch(GivesAway(), text));
        Assert.Empty(await Kit.Page.EvaluateAsync<string[]>("() => window.changes"));
    }

    [Fact]
    public async Task APressCountsForWhatLayThereWhenItBegan()
    {
        var page = Console.Page;
        var (wholeEar, byHand) = (Console.Button("Whole ear"), Console.Button("By hand"));
        await Expect(byHand).ToHaveAttributeAsync("aria-pressed", "true");

        // The page moves while the button is down, as it does when a picture comes from the hub.
        await PressWhileThePageMoves(wholeEar, letGoAsidePx: 0);
        await Expect(wholeEar).ToHaveAttributeAsync("aria-pressed", "true");

        // Let go elsewhere, it is no press.
        await PressWhileThePageMoves(byHand, letGoAsidePx: 60);
        await Expect(wholeEar).ToHaveAttributeAsync("aria-pressed", "true");

        // By finger another button would be pressed instead, the one that came to lie below it.
        var touch = await page.Context.NewCDPSessionAsync(page);
        var at = await MiddleOf(byHand);
        await touch.SendAsync("Input.dispatchTouchEvent", new() { ["type"] = "touchStart", ["touchPoints"] = new[] { new { x = at.X, y = at.Y } } });
        await page.EvaluateAsync(MoveThePage);
        await touch.SendAsync("Input.dispatchTouchEvent", new() { ["type"] = "touchEnd", ["touchPoints"] = Array.Empty<object>() });
        await Expect(byHand).ToHaveAttributeAsync("aria-pressed", "true");
        await page.EvaluateAsync(MoveThePageBack);
    }

    [Fact]
    public async Task ThePadLightsTheResponseLamp()
    {
        var pressed = Console.Page.GetByText("Pressed", new() { Exact = true });
        await Expect(pressed).ToBeHiddenAsync();

        await Kit.Pad.HoverAsync();
        await Kit.Page.Mouse.DownAsync();
        await Expect(pressed).ToBeVisibleAsync();
        await Kit.Page.Mouse.UpAsync();
        await Expect(pressed).ToBeHiddenAsync();

        await Kit.Pad.FocusAsync();
        await Kit.Page.Keyboard.DownAsync("Space");
        await Expect(pressed).ToBeVisibleAsync();
        await Kit.Page.Keyboard.UpAsync("Space");
        await Expect(pressed).ToBeHiddenAsync();
    }

    [Fact]
    public async Task KeysDoNothingWhileTyping()
    {
        const string AllKeys = "hlrsap 125?";
        var before = await Console.Dial.InnerTextAsync();
        var history = await Console.History.InnerTextAsync();

        var message = Console.Page.GetByLabel("Shown large, so keep it short");
        await message.ClickAsync();
        await message.PressSequentiallyAsync(AllKeys);
        await Console.Page.Keyboard.PressAsync("ArrowUp");
        await Expect(message).ToHaveValueAsync(AllKeys);
        await message.FillAsync(string.Empty);

        await Console.Button("Note…").ClickAsync();
        var note = Console.Page.GetByRole(AriaRole.Dialog).GetByRole(AriaRole.Textbox);
        await Expect(note).ToBeFocusedAsync();
        await note.PressSequentiallyAsync(AllKeys);
        await Expect(note).ToHaveValueAsync(AllKeys);
        await Console.Page.Keyboard.PressAsync("Escape");
        await Expect(Console.Page.GetByRole(AriaRole.Dialog)).ToHaveCountAsync(0);

        Assert.Equal(before, await Console.Dial.InnerTextAsync());
        Assert.Equal(history, await Console.History.InnerTextAsync());
        await Console.Stands("Testing");
    }

    [Fact]
    public async Task KeysTurnTheDialOutsideFields()
    {
        await StartOnTheHeading();
        await Expect(Console.Dial).ToContainTextAsync("1000 Hz");

        await Console.Page.Keyboard.PressAsync("ArrowRight");
        await Console.Page.Keyboard.PressAsync("1");
        await Console.Page.Keyboard.PressAsync("ArrowDown");
        await Expect(Console.Dial).ToContainTextAsync("1500 Hz");
        await Expect(Console.Dial).ToContainTextAsync("29 dB HL");

        await Console.Page.Keyboard.PressAsync("?");
        await Expect(Console.Page.GetByRole(AriaRole.Dialog, new() { Name = "Keys" })).ToBeVisibleAsync();
        await Console.Page.Keyboard.PressAsync("Escape");
        await Expect(Console.Page.GetByRole(AriaRole.Dialog)).ToHaveCountAsync(0);
        await Console.Page.Keyboard.PressAsync("ArrowUp");
        await Console.Page.Keyboard.PressAsync("5");
        await Console.Page.Keyboard.PressAsync("ArrowLeft");
        await Expect(Console.Dial).ToContainTextAsync("30 dB HL");
        await Expect(Console.Dial).ToContainTextAsync("1000 Hz");
    }

    [Fact]
    public async Task WholeConsoleByKeyboard()
    {
        await TabThrough.Everything(Console.Page, "the session");

        // A dialog by keyboard alone: open, leave, and back where one was.
        await Console.Button("Note…").FocusAsync();
        await Console.Page.Keyboard.PressAsync("Enter");
        await Expect(Console.Page.GetByRole(AriaRole.Dialog, new() { Name = "Add a note" })).ToBeVisibleAsync();
        await TabThrough.Everything(Console.Page, "the note's dialog");
        await Console.Page.Keyboard.PressAsync("Escape");
        await Console.Page.WaitForFunctionAsync("() => document.activeElement.innerText === 'Note…'");

        await using var second = await clinic.OpenConsole();
        await TabThrough.Everything(second.Page, "the day's list");
        await second.Page.GetByRole(AriaRole.Link, new() { Name = "Kits", Exact = true }).FocusAsync();
        await second.Page.Keyboard.PressAsync("Enter");
        await second.Stands("Kit board");
        await TabThrough.Everything(second.Page, "the kits");
        await TabThrough.Everything(Kit.Page, "the kit screen");
    }

    private async Task PressWhileThePageMoves(ILocator button, float letGoAsidePx)
    {
        var page = Console.Page;
        var at = await MiddleOf(button);
        await page.Mouse.MoveAsync(at.X, at.Y);
        await page.Mouse.DownAsync();
        await page.EvaluateAsync(MoveThePage);
        await page.Mouse.MoveAsync(at.X + letGoAsidePx, at.Y);
        await page.Mouse.UpAsync();
        await page.EvaluateAsync(MoveThePageBack);
    }

    private static async Task<(float X, float Y)> MiddleOf(ILocator button)
    {
        await button.ScrollIntoViewIfNeededAsync();
        var box = await button.BoundingBoxAsync() ?? throw new InvalidOperationException("The button is not in the page.");
        return (box.X + (box.Width / 2), box.Y + (box.Height / 2));
    }

    [GeneratedRegex(@"\bdB\b|\bHz\b|\bnow\b|\bleft\b|\bright\b", RegexOptions.IgnoreCase)]
    private static partial Regex GivesAway();

    private Task StartOnTheHeading() => Console.Page.GetByRole(AriaRole.Heading, new() { Name = "Testing", Level = 1 }).FocusAsync();
}
