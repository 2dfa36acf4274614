using System.Text.RegularExpressions;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>What must hold on both screens while tones are presented.</summary>
public sealed partial class TestingStageTests(ClinicAtTesting clinic) : IClassFixture<ClinicAtTesting>
{
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
        var (wholeEar, byHand) = (Console.Button("Whole ear"), Console.Button("By hand"));
        await Expect(byHand).ToHaveAttributeAsync("aria-pressed", "true");

        await MovingPage.Press(wholeEar);
        await Expect(wholeEar).ToHaveAttributeAsync("aria-pressed", "true");

        // Let go elsewhere, it is no press.
        await MovingPage.Press(byHand, letGoAsidePx: 60);
        await Expect(wholeEar).ToHaveAttributeAsync("aria-pressed", "true");

        await MovingPage.Touch(byHand);
        await Expect(byHand).ToHaveAttributeAsync("aria-pressed", "true");
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

    [GeneratedRegex(@"\bdB\b|\bHz\b|\bnow\b|\bleft\b|\bright\b", RegexOptions.IgnoreCase)]
    private static partial Regex GivesAway();

    private Task StartOnTheHeading() => Console.Page.GetByRole(AriaRole.Heading, new() { Name = "Testing", Level = 1 }).FocusAsync();
}
