using System.Text.RegularExpressions;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>One session from its first to its last stage, with the console and the kit screen open side by side, in real time.</summary>
public sealed class WholeSessionTests(RealtimeClinic clinic, ITestOutputHelper output) : IClassFixture<RealtimeClinic>
{
    private readonly Screens _screens = new(output);

    [Fact]
    public async Task WholeSessionAsClinicianAndAssistantAtOnce()
    {
        await using var console = await clinic.OpenConsole();
        await using var kit = await clinic.OpenKitScreen();
        await _screens.Keep(console.Page, "console-00-today");
        await _screens.Keep(kit.Page, "kit-00-ready");

        await GetToKnow(console, kit);
        await MakeReady(console, kit);
        await TestByHand(console, kit);
        await HoldAndResume(console, kit);
        await StopAndResume(console, kit);
        await SearchOneThreshold(console, kit);
        await Finish(console, kit);
        _screens.Report();
    }

    private async Task GetToKnow(ConsoleWindow console, KitWindow kit)
    {
        await console.Open("Oda Brekkestad");
        await _screens.Keep(console.Page, "console-01-scheduled");
        await console.TakeControl();
        await kit.Shows("Set up the kit");
        await kit.Says("Connected to your clinician, Maren Toft");
        await kit.MarkDone();
        await Keep(console, kit, "02-connecting");

        await console.GoOn("Who and where");
        await kit.Shows("Meet your clinician");
        await Keep(console, kit, "03-identity");
        await console.RecordIdentity();
        await Expect(console.Needs).Not.ToContainTextAsync("missing");
        await Expect(console.Page.GetByText("Fernhill Lane 12").First).ToBeVisibleAsync();

        await console.GoOn("Consent");
        await kit.Shows("Decide together");
        await console.RecordConsent();
        await Keep(console, kit, "04-consent");
    }

    private async Task MakeReady(ConsoleWindow console, KitWindow kit)
    {
        await console.GoOn("Kit check");
        await kit.Shows("Get the kit ready");
        await Expect(console.Needs).ToContainTextAsync("missing, from the assistant");
        await console.CheckKit();
        await kit.MarkDone();
        await Expect(console.Needs).Not.ToContainTextAsync("missing");
        await Keep(console, kit, "05-kit-check");

        await console.GoOn("Room noise");
        await kit.Shows("Make the room quiet");
        await console.MeasureRoom();
        await Keep(console, kit, "06-room");

        await console.GoOn("Ear look");
        await kit.Shows("Show the ears to your clinician");
        await console.RecordEar("Right ear");
        await console.RecordEar("Left ear");
        await Keep(console, kit, "07-ears");

        await console.GoOn("Side proof");
        await kit.Shows("Put the earphones on");
        await _screens.Keep(kit.Page, "kit-08-side-card");
        var proving = console.ProveSides();
        await kit.Shows("Which ear hears the sound?");
        await _screens.Keep(kit.Page, "kit-08-sides");
        await proving;
        await kit.Shows("Put the earphones on");
        await _screens.Keep(console.Page, "console-08-sides");
    }

    private async Task TestByHand(ConsoleWindow console, KitWindow kit)
    {
        await console.GoOn("Testing");
        await Expect(kit.Pad).ToBeVisibleAsync();
        var keyboard = console.Page.Keyboard;
        var set = console.Dial.GetByText(new Regex("Hz.*dB HL", RegexOptions.Singleline)).First;
        await Expect(set).ToContainTextAsync("1000 Hz");
        await Expect(set).ToContainTextAsync("30 dB HL");

        await keyboard.PressAsync("l");
        await keyboard.PressAsync("ArrowRight");
        await keyboard.PressAsync("ArrowUp");
        await keyboard.PressAsync("ArrowUp");
        await Expect(set).ToContainTextAsync("1500 Hz");
        await Expect(set).ToContainTextAsync("40 dB HL");
        await Expect(console.Dial.GetByRole(AriaRole.Button, new() { Name = "Left", Exact = true })).ToHaveAttributeAsync("aria-pressed", "true");
        await Screens.KeepWindow(console.Page, "console-09-testing-empty");

        await keyboard.PressAsync("Space");
        await Expect(console.Page.GetByText("On", new() { Exact = true })).ToBeVisibleAsync();
        await Expect(console.Trials).ToContainTextAsync("40 dB, 1500 Hz");
        await Expect(console.Trials).ToContainTextAsync("heard");
    }

    private async Task HoldAndResume(ConsoleWindow console, KitWindow kit)
    {
        await console.Page.Keyboard.PressAsync("h");
        await console.ShowsHeading("On hold");
        await kit.Shows("A short break");
        await Keep(console, kit, "10-hold");
        await console.Button("Resume…").ClickAsync();
        await _screens.Keep(console.Page, "console-10-resume");
        await console.Resume();
        await Expect(console.Page.GetByRole(AriaRole.Heading, new() { Name = "On hold" })).ToBeHiddenAsync();
        await Expect(kit.Pad).ToBeVisibleAsync();
    }

    private async Task StopAndResume(ConsoleWindow console, KitWindow kit)
    {
        await console.Page.Keyboard.PressAsync("Space");
        await Expect(console.Page.GetByText("On", new() { Exact = true })).ToBeVisibleAsync();
        await kit.TouchStopBesideTheHeldPad(async () =>
        {
            await kit.Shows("Stopped. The sound is off.");
            await console.ShowsHeading("Stopped at the site");
        });
        await Expect(console.History.GetByText("Stop was pressed at the site.")).ToHaveCountAsync(1);
        await kit.CallForHelp();
        await console.ShowsHeading("Someone at the site called for help");
        await Keep(console, kit, "11-stopped");

        await console.Fill("Shown large, so keep it short", "We rest a moment. Nothing plays now.");
        await console.Button("Show it").ClickAsync();
        await kit.Says("We rest a moment. Nothing plays now.");
        await Expect(console.Page.GetByRole(AriaRole.Heading, new() { Name = "Someone at the site called for help" })).ToBeHiddenAsync();
        await _screens.Keep(kit.Page, "kit-11-message");

        await console.Button("Resume…").ClickAsync();
        await Expect(console.Button("Resume")).ToBeDisabledAsync();
        await console.Fill("What happened", "The cat came in; Oda is well and wants to go on.");
        await console.Resume();
        await Expect(console.Page.GetByRole(AriaRole.Heading, new() { Name = "Stopped at the site" })).ToBeHiddenAsync();
        await Expect(kit.Pad).ToBeVisibleAsync();
        await Expect(console.History).ToContainTextAsync("The cat came in");

        // The message belonged to the rest.
        await Expect(kit.Page.GetByText("We rest a moment.")).ToBeHiddenAsync();
        await Expect(console.Button("Take it away")).ToBeHiddenAsync();
    }

    private async Task SearchOneThreshold(ConsoleWindow console, KitWindow kit)
    {
        await console.Page.GetByRole(AriaRole.Heading, new() { Name = "Testing", Level = 1 }).FocusAsync();
        await console.Page.Keyboard.PressAsync("r");
        await console.Page.Keyboard.PressAsync("ArrowLeft");
        var kept = false;
        await console.SearchHere(async () =>
        {
            if (!kept)
            {
                // Or it was broken off before the third trial; then the picture is taken of the next one.
                var third = console.Page.GetByText(new Regex("[3-9] trials so far"));
                await Expect(third.Or(console.Page.GetByText("Last threshold search")).First).ToBeVisibleAsync();
                if (await third.IsVisibleAsync())
                {
                    await Keep(console, kit, "12-searching");
                    kept = true;
                }
            }
        });
        await console.Page.GetByText("The same as a table").First.ClickAsync();
        await Expect(console.Page.GetByRole(AriaRole.Row, new() { NameRegex = new Regex("^1000 Hz") })).ToContainTextAsync("dB HL");
        await Keep(console, kit, "13-found");
    }

    private async Task Finish(ConsoleWindow console, KitWindow kit)
    {
        await console.GoOn("Review");
        await kit.Shows("Take a rest");
        await _screens.Keep(console.Page, "console-14-review-empty");
        await console.RecordReview();
        await Keep(console, kit, "14-review");

        await console.GoOn("Handoff");
        await kit.Shows("Pack up the kit");
        await console.RecordHandoff();
        await Expect(console.Needs).ToContainTextAsync("missing, from the assistant");
        await kit.MarkDone();
        await Keep(console, kit, "15-handoff");

        await console.GoOn("Closed");
        await Expect(console.Page.GetByText("The session is complete and read-only.").First).ToBeVisibleAsync();
        await Expect(console.Page.GetByRole(AriaRole.Link, new() { Name = "Save the record (JSON)" })).ToBeVisibleAsync();
        await _screens.Keep(console.Page, "console-16-closed");
        await _screens.Keep(kit.Page, "kit-16-closed");
    }

    private async Task Keep(ConsoleWindow console, KitWindow kit, string name)
    {
        await _screens.Keep(console.Page, "console-" + name);
        await _screens.Keep(kit.Page, "kit-" + name);
    }
}
