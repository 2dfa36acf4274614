using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>Console and kit screen hold no truth: whoever reloads sees what was there before.</summary>
public sealed class ReloadTests(FastClinic clinic) : IClassFixture<FastClinic>
{
    // Every part that shows the session: its stages, the stage in hand with what fields hold, the person and the history.
    private const string ConsoleContent = """
        () => {
          const lasting = part => [...part.querySelectorAll("section[aria-label='The room now']")].reduce((text, live) => text.replace(live.innerText, ""), part.innerText);
          const shown = [...document.querySelectorAll("nav[aria-label='Stages of the session'], main section[aria-labelledby='stage-title'], main aside")].map(lasting);
          const fields = [...document.querySelectorAll("main section[aria-labelledby='stage-title'] form :is(input, textarea, select)")]
            .map(field => field.type === "radio" || field.type === "checkbox" ? String(field.checked) : field.value);
          return [...shown.map(text => text.replace(/\s+/g, " ")), ...fields].join("\n");
        }
        """;

    /// <summary>A page that is opened anew shows everything in this time, on a machine where everything else runs too.</summary>
    private static readonly TimeSpan _comesBackWithin = TimeSpan.FromSeconds(10);

    private static readonly string[] _stagesReloaded = ["Who and where", "Consent", "Kit check", "Room noise", "Ear look", "Side proof", "Testing", "Review", "Handoff", "Closed"];

    [Fact]
    public async Task ReloadAnywhereShowsTheSame()
    {
        await using var console = await clinic.OpenConsole();
        await using var kit = await clinic.OpenKitScreen();
        Task Look(string stage) => _stagesReloaded.Contains(stage) ? Reload(console, kit, stage) : Task.CompletedTask;

        await Walk.ToTesting(console, kit, "Oda Brekkestad", Look);
        await console.Page.GetByRole(AriaRole.Heading, new() { Name = "Testing", Level = 1 }).FocusAsync();
        await console.Page.Keyboard.PressAsync("Space");
        await Expect(console.Trials).ToContainTextAsync("30 dB, 1000 Hz");
        await console.SearchHere();
        await Reload(console, kit, "Testing");

        await console.Page.Keyboard.PressAsync("h");
        await console.ShowsHeading("On hold");
        await kit.Shows("A short break");
        await Reload(console, kit, "Testing");
        await console.ShowsHeading("On hold");
        await console.Button("Resume…").ClickAsync();
        await console.Resume();
        await Expect(kit.Pad).ToBeVisibleAsync();

        await kit.StopButton.ClickAsync();
        await console.ShowsHeading("Stopped at the site");
        await Reload(console, kit, "Testing");
        await kit.Shows("Stopped. The sound is off.");
        await console.Button("Resume…").ClickAsync();
        await console.Fill("What happened", "Pressed by mistake; Oda is well.");
        await console.Resume();
        await Expect(kit.Pad).ToBeVisibleAsync();

        await Walk.ToClosed(console, kit, Look);
    }

    private static async Task Reload(ConsoleWindow console, KitWindow kit, string stage)
    {
        // The lamps and the room's live levels show a moment, not the session.
        await Expect(console.Page.GetByText("Pressed", new() { Exact = true })).ToBeHiddenAsync();
        await Expect(console.Page.GetByText("On", new() { Exact = true })).ToBeHiddenAsync();
        await KitIsHeard(console, stage);
        // What can be chosen comes after the picture.
        await console.Page.WaitForFunctionAsync("() => [...document.querySelectorAll('main select')].every(select => select.options.length > 0)");
        var consoleBefore = await Settled(() => console.Page.EvaluateAsync<string>(ConsoleContent));
        await console.Page.ReloadAsync();
        await console.Stands(stage);
        await Expect(console.Page.GetByText("Your registrations are not read yet.")).ToHaveCountAsync(0);
        await KitIsHeard(console, stage);
        Assert.Equal(consoleBefore, await Becomes(consoleBefore, () => console.Page.EvaluateAsync<string>(ConsoleContent)));

        var kitBefore = await kit.Page.GetByRole(AriaRole.Main).InnerTextAsync();
        await kit.Page.ReloadAsync();
        await Expect(kit.StopButton).ToBeVisibleAsync();
        await Expect(kit.Page.GetByRole(AriaRole.Main)).ToHaveTextAsync(new System.Text.RegularExpressions.Regex(".+", System.Text.RegularExpressions.RegexOptions.Singleline));
        Assert.Equal(kitBefore, await Becomes(kitBefore, () => kit.Page.GetByRole(AriaRole.Main).InnerTextAsync()));
    }

    /// <summary>On a busy machine a kit may not be heard for a moment, which the console shows and takes back. After the close it says by itself that it is wiped, a moment later.</summary>
    private static Task KitIsHeard(ConsoleWindow console, string stage) =>
        Expect(console.Page.GetByText(stage == "Closed" ? "attested, signed with its key" : "● online").First).ToBeVisibleAsync();

    /// <summary>What a page comes to show, part by part: what is wanted, or what it shows when its time is over.</summary>
    private static async Task<string> Becomes(string wanted, Func<Task<string>> look)
    {
        var begin = TimeProvider.System.GetTimestamp();
        var last = await look();
        while (last != wanted && TimeProvider.System.GetElapsedTime(begin) < _comesBackWithin)
        {
            last = await look();
        }

        return last;
    }

    // A picture may just be on its way: two looks in a row that agree are what the page shows.
    private static async Task<string> Settled(Func<Task<string>> look)
    {
        var last = await look();
        for (var again = await look(); again != last; again = await look())
        {
            last = again;
        }

        return last;
    }
}
