using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests.Support;

/// <summary>The console as a clinician uses it: by labels, roles and words.</summary>
public sealed class ConsoleWindow(IPage page) : IAsyncDisposable
{
    // A machine that is too busy to keep sound and leases on time breaks a step off, and the console advises to ask again.
    internal const int MostAttempts = 6;

    /// <summary>The page.</summary>
    public IPage Page { get; } = page;

    /// <summary>The list of what the gate needs.</summary>
    public ILocator Needs => Page.GetByRole(AriaRole.List, new() { Name = "Needed before the next stage" });

    /// <summary>The history in the side column.</summary>
    public ILocator History => Page.GetByRole(AriaRole.Region, new() { Name = "What happened" });

    /// <summary>The dial for testing by hand.</summary>
    public ILocator Dial => Page.GetByRole(AriaRole.Region, new() { Name = "Testing by hand" });

    /// <summary>The latest trials.</summary>
    public ILocator Trials => Page.GetByRole(AriaRole.Region, new() { Name = "Latest trials" });

    /// <summary>A button by its words.</summary>
    public ILocator Button(string name) => Page.GetByRole(AriaRole.Button, new() { Name = name, Exact = true });

    /// <summary>Opens a session from the day's list.</summary>
    public async Task Open(string person)
    {
        await Page.GetByRole(AriaRole.Link, new() { NameRegex = new Regex($"^Open the session of {person}") }).ClickAsync();
        await Expect(Page.GetByRole(AriaRole.Heading, new() { Name = person, Level = 2 })).ToBeVisibleAsync();
    }

    /// <summary>Waits until the stage in hand reads so.</summary>
    public Task Stands(string stage) => Expect(Page.GetByRole(AriaRole.Heading, new() { Name = stage, Level = 1 })).ToBeVisibleAsync();

    /// <summary>Waits for a heading below the stage.</summary>
    public Task ShowsHeading(string words) => Expect(Page.GetByRole(AriaRole.Heading, new() { Name = words }).First).ToBeVisibleAsync();

    /// <summary>Goes on to the next stage once the gate allows it.</summary>
    public async Task GoOn(string stage)
    {
        // What was there when the page was read may be gone when the hub is asked: a kit's link for a second, say.
        await PutNoticesAway();
        var pressed = false;
        await PressUntil(Page.GetByRole(AriaRole.Heading, new() { Name = stage, Level = 1 }), async () =>
        {
            if (pressed)
            {
                await Expect(Needs.GetByRole(AriaRole.Listitem).Filter(new() { HasNotText = "✓" })).ToHaveCountAsync(0);
            }

            pressed = true;
            await Button($"Next: {stage} →").ClickAsync();
        });
    }

    /// <summary>Waits until something the next stage needs is there: what is done at the site reaches the console a moment later.</summary>
    public Task NeedIsMet(string need) => Expect(Needs.GetByRole(AriaRole.Listitem).Filter(new() { HasText = need })).ToContainTextAsync("✓");

    /// <summary>Takes control of a planned session.</summary>
    public async Task TakeControl()
    {
        await Button("Take control and begin").ClickAsync();
        await Stands("Connecting");
    }

    /// <summary>Fills in who is there and where.</summary>
    public async Task RecordIdentity()
    {
        await Fill("As the person says it, first", "Oda Brekkestad");
        await Page.GetByLabel("As the person says it, second").FillAsync("1951-03-14");
        await Fill("Exact place now", "Fernhill Lane 12, ground floor, kitchen");
        await Fill("Country or part of it, by its code", "CA-NS");
        await Fill("Number to call when the link fails", "555 0107");
        await Fill("Emergency number at that place", "112");
        await Fill("Someone to call in an emergency", "Runa Brekkestad, 555 0108");
        await Fill("In the room with the person", "Oda and Runa");
        await Fill("In your own room", "alone");
        await Page.GetByLabel("The person agrees to everybody who is present").CheckAsync();
        await Expect(Page.GetByText("✓ Your registration covers CA-NS")).ToBeVisibleAsync();
        await Page.GetByLabel("I have said my name and registration").CheckAsync();
        await Button("Confirm who and where").ClickAsync();
        await Expect(Button("Confirm again")).ToBeVisibleAsync();
    }

    /// <summary>Records consent to every purpose.</summary>
    public async Task RecordConsent()
    {
        foreach (var purpose in new[] { "The hearing test", "Doing it at a distance", "The assistant's help", "Pictures of the ear", "Sending results to others" })
        {
            await Page.GetByLabel($"{purpose}: given", new() { Exact = true }).CheckAsync();
        }

        await Page.GetByLabel("Recording sound or picture: not given").CheckAsync();
        await Page.GetByLabel("I explained what happens when the technique fails").CheckAsync();
        await Page.GetByLabel("I offered a visit in person instead").CheckAsync();
        await Button("Record consent").ClickAsync();
        await Expect(Button("Record again")).ToBeVisibleAsync();
    }

    /// <summary>Confirms the open dialog of going on, and again when the kit was just then not heard.</summary>
    public async Task Resume()
    {
        var dialog = Page.GetByRole(AriaRole.Dialog);
        for (var attempt = 1; attempt <= MostAttempts && await dialog.CountAsync() > 0; attempt++)
        {
            await Expect(Page.GetByText("● online").First).ToBeVisibleAsync();
            await Button("Resume").ClickAsync();
            await Page.WaitForFunctionAsync("() => !document.querySelector('dialog') || document.querySelector('dialog').innerText.includes('Resume: not done')");
            var putAway = dialog.GetByRole(AriaRole.Button, new() { Name = "Put away" });
            if (await putAway.CountAsync() > 0)
            {
                await putAway.First.ClickAsync();
            }
        }

        await Expect(dialog).ToHaveCountAsync(0);
    }

    /// <summary>Has the kit check itself.</summary>
    public Task CheckKit() => Repeat(new Regex("^Check (the kit|again)$"), "The kit check was", "Everything passed");

    /// <summary>Has the kit measure the room.</summary>
    public async Task MeasureRoom()
    {
        await Page.GetByLabel("Measure for").SelectOptionAsync("10 s");
        await Button("Measure the room").ClickAsync();
        await Expect(Page.GetByRole(AriaRole.Table, new() { Name = "Lowest level this room lets you prove" })).ToBeVisibleAsync();
    }

    /// <summary>Records that an ear is clear and may be covered.</summary>
    public async Task RecordEar(string ear)
    {
        var form = Page.GetByRole(AriaRole.Region, new() { Name = ear, Exact = true });
        await form.GetByLabel("What was seen").SelectOptionAsync("Clear");
        await form.GetByLabel("Yes", new() { Exact = true }).CheckAsync();
        await form.GetByRole(AriaRole.Button, new() { Name = $"Record the {ear.ToLowerInvariant()}" }).ClickAsync();
        await Expect(form.GetByText("Recorded:")).ToBeVisibleAsync();
    }

    /// <summary>Has the kit prove the sides with four tones.</summary>
    public async Task ProveSides()
    {
        await Page.GetByLabel("Tones", new() { Exact = true }).FillAsync("4");
        await Repeat(new Regex("^Prove (the sides|again)$"), "The side proof was", "All sides right");
    }

    /// <summary>Searches the threshold the dial stands at, by its key.</summary>
    /// <param name="whileSearching">Called while the search runs.</param>
    public async Task SearchHere(Func<Task>? whileSearching = null)
    {
        await Page.GetByRole(AriaRole.Heading, new() { Name = "Testing", Level = 1 }).FocusAsync();
        await Search(() => Page.Keyboard.PressAsync("s"), whileSearching);
    }

    /// <summary>Asks for a search, and again until the kit completed one.</summary>
    /// <param name="ask">Presses what asks for it.</param>
    /// <param name="whileSearching">Called while a search runs; not for one that ended before it was seen running.</param>
    public async Task Search(Func<Task> ask, Func<Task>? whileSearching = null)
    {
        var newest = History.GetByRole(AriaRole.Listitem).First;
        var running = Page.GetByText(new Regex("^Searching the (right|left) ear"));
        var ended = newest.Filter(new() { HasTextRegex = new Regex("search .*(ear|Hz).* was ") });
        for (var attempt = 1; attempt <= MostAttempts; attempt++)
        {
            await PressUntilDone(newest, ask);
            await Expect(running.Or(ended).First).ToBeVisibleAsync();
            if (whileSearching is not null && await running.First.IsVisibleAsync())
            {
                await whileSearching();
            }

            await Expect(ended).ToBeVisibleAsync();
            if ((await ended.InnerTextAsync()).Contains("was completed", StringComparison.Ordinal))
            {
                return;
            }
        }

        await Expect(ended).ToContainTextAsync("was completed");
    }

    /// <summary>Answers every warning sign with no, and writes the judgement.</summary>
    public async Task RecordReview()
    {
        foreach (var row in await Page.GetByRole(AriaRole.Table, new() { Name = "Warning signs" }).GetByRole(AriaRole.Radio, new() { NameRegex = new Regex("\\? No$") }).AllAsync())
        {
            await row.CheckAsync();
        }

        await Fill("How far can the results be trusted", "Good: quiet room, no press in silence.");
        await Fill("Findings in a few sentences", "Right ear at 1000 Hz within normal limits.");
        await Button("Record the review").ClickAsync();
        await Expect(Button("Record again")).ToBeVisibleAsync();
    }

    /// <summary>Writes down what the person leaves with.</summary>
    public async Task RecordHandoff()
    {
        await Fill("The one thing to remember", "Your right ear hears soft sounds well.");
        await Fill("What happens next", "Maren calls on Monday about the left ear.");
        await Page.GetByLabel("Family or a helper heard it too").CheckAsync();
        await Button("Record the handoff").ClickAsync();
        await Expect(Button("Record again")).ToBeVisibleAsync();
    }

    /// <summary>Writes into a field by the beginning of its label.</summary>
    public Task Fill(string label, string text) => Page.GetByRole(AriaRole.Textbox, new() { NameRegex = new Regex("^" + Regex.Escape(label)) }).FillAsync(text);

    private async Task Repeat(Regex button, string over, string passed)
    {
        var newest = History.GetByRole(AriaRole.Listitem).First;
        var heading = Page.GetByRole(AriaRole.Heading, new() { Name = passed });
        for (var attempt = 1; attempt <= MostAttempts; attempt++)
        {
            await PressUntilDone(newest, () => Page.GetByRole(AriaRole.Button, new() { NameRegex = button }).ClickAsync());
            await Expect(newest).ToContainTextAsync(over);
            if (await heading.IsVisibleAsync())
            {
                return;
            }
        }

        await Expect(heading).ToBeVisibleAsync();
    }

    private async Task PressUntilDone(ILocator newest, Func<Task> ask)
    {
        var before = await newest.InnerTextAsync();
        await PressUntil(newest.Filter(new() { HasNotText = before }), ask);
    }

    // Presses as a person does: again when the console says that it was not done.
    private async Task PressUntil(ILocator movedOn, Func<Task> ask)
    {
        var notDone = Page.GetByRole(AriaRole.Status, new() { Name = "Answers from the hub" }).Filter(new() { HasText = "not done" });
        for (var attempt = 1; attempt <= MostAttempts; attempt++)
        {
            await ask();
            await Expect(movedOn.Or(notDone).First).ToBeVisibleAsync();
            if (await movedOn.IsVisibleAsync())
            {
                return;
            }

            TestContext.Current.TestOutputHelper?.WriteLine($"Pressed again after: {await notDone.InnerTextAsync()}");
            await PutNoticesAway();
        }

        Assert.Fail("Refused every time.");
    }

    private async Task PutNoticesAway()
    {
        var putAway = Button("Put away");
        while (await putAway.CountAsync() > 0)
        {
            await putAway.First.ClickAsync();
        }
    }

    public async ValueTask DisposeAsync() => await Page.Context.DisposeAsync();
}
