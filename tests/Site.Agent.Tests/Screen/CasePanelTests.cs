using Bunit;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Screen.Case;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Screen;

/// <summary>Counting and packing on the kit screen, down to the report in the journal.</summary>
public sealed class CasePanelTests : BunitContext
{
    private static readonly SessionId _session = SessionId.New();
    private readonly TempFolder _folder = new();

    public CasePanelTests()
    {
        JSInterop.Mode = JSRuntimeMode.Loose;
        Services.AddLogging(logging => logging.ClearProviders());
        Services.AddAgent(RunningAgent.OptionsFor(_folder, new Uri("http://127.0.0.1:1/")) with { RecordPath = null });
        Services.GetRequiredService<KitJournal>().Unlock(new byte[32]);
    }

    private CaseDesk Desk => Services.GetRequiredService<CaseDesk>();

    protected override void Dispose(bool disposing)
    {
        base.Dispose(disposing);
        _folder.Dispose();
    }

    private IRenderedComponent<KitPage> Show(KitCase known, SessionStage? stage = null)
    {
        var screen = Services.GetRequiredService<KitScreenState>();
        screen.SetLink(LinkState.Linked);
        if (stage is { } at)
        {
            screen.SetScene(new KitScene(_session, at, null, "Maren Toft", null, false, null, false));
        }

        Desk.Take(known);
        return Render<KitPage>();
    }

    private T Reported<T>()
        where T : KitReport => Assert.IsType<T>(Assert.Single(Services.GetRequiredService<KitJournal>().Pending(100)).Report);

    [Fact]
    public void APackedCaseShowsTheAddressItGoesBackToWhenThereIsOne()
    {
        var page = Show(CaseViewTests.Case(KitStage.AwaitingReturn) with { ReturnTo = ["Fernhill Hearing", "Mill Lane 4"] });

        Assert.Equal(["Fernhill Hearing", "Mill Lane 4"], page.FindAll(".case address span").Select(line => line.TextContent));
        Desk.Take(CaseViewTests.Case(KitStage.AwaitingReturn));
        page.WaitForAssertion(() => Assert.Empty(page.FindAll(".case address")));
    }

    [Fact]
    public async Task TheHelperChargesCountsAndTheCountIsJournaled()
    {
        var page = Show(CaseViewTests.Case());
        Assert.Contains("Charge the kit first", page.Find(".case h1").TextContent, StringComparison.Ordinal);
        await page.Find(".case .done").ClickAsync(new());

        page.WaitForAssertion(() => Assert.Contains("What should be in the case", page.Find(".case h1").TextContent, StringComparison.Ordinal));
        Assert.Equal("case/photo", page.Find(".packed-photo").GetAttribute("src"));
        Assert.True(page.Find(".case .done").HasAttribute("disabled"));
        foreach (var index in Enumerable.Range(0, 3))
        {
            await page.FindAll(".case .all")[index].ClickAsync(new());
        }

        await page.FindAll(".stepper button[aria-label='One less']")[2].ClickAsync(new());
        await page.Find(".case .done").ClickAsync(new());

        var told = Reported<CaseCounted>();
        Assert.Equal([new ItemCount("U1", 1), new ItemCount("E1", 1), new ItemCount("W1", 17)], told.Counts);
        page.WaitForAssertion(() => Assert.Contains("wipes: 17 of 18.", page.Find(".case").TextContent, StringComparison.Ordinal));
        Assert.Equal(["stop", "help"], page.Find("footer").QuerySelectorAll("button").Select(button => button.ClassName));
    }

    [Fact]
    public async Task PackingUpCountsWhatIsThrownAwayAndAsksOnceForWhatIsNotBack()
    {
        var page = Show(CaseViewTests.Case(KitStage.InUse), SessionStage.Handoff);
        Assert.Contains("Pack up the kit", page.Find(".card h1").TextContent, StringComparison.Ordinal);
        await page.FindAll(".stepper button[aria-label='One more']")[0].ClickAsync(new());
        await page.FindAll(".stepper button[aria-label='One more']")[0].ClickAsync(new());
        await page.FindAll(".case .all")[0].ClickAsync(new());
        await page.Find(".seal input").ChangeAsync(new() { Value = "S-0042" });

        await page.Find(".case .done").ClickAsync(new());

        Assert.Empty(Services.GetRequiredService<KitJournal>().Pending(100));
        Assert.Contains("Not in the case yet: circumaural earphones.", page.Find(".case").TextContent, StringComparison.Ordinal);

        await page.FindAll(".case .all")[1].ClickAsync(new());
        await page.Find(".case .done").ClickAsync(new());

        var told = Reported<CasePacked>();
        Assert.Equal([new ItemCount("U1", 1), new ItemCount("E1", 1), new ItemCount("W1", 16)], told.Counts);
        Assert.Equal([new ItemCount("W1", 2)], told.Discarded);
        Assert.Equal("S-0042", told.Seal);
        page.WaitForAssertion(() => Assert.Contains("It has to be back by 4 December.", page.Find(".case").TextContent, StringComparison.Ordinal));
    }

    [Fact]
    public void AnotherLoanBeginsWithEverythingStillToBeDone()
    {
        var known = CaseViewTests.Case();
        Desk.Take(known);
        Desk.MarkCharging();
        Desk.Count([], null);

        Desk.Take(known with { Stage = KitStage.CheckedInAtSite });
        Assert.True(Desk.Now.Charged);
        Desk.Take(known with { Packed = known.Packed! with { At = known.Packed.At.AddDays(30) } });

        Assert.Equal((false, null), (Desk.Now.Charged, Desk.Now.Counted));
    }

    [Fact]
    public void AnotherSessionOfTheSameLoanOpensTheCaseAgain()
    {
        var screen = Services.GetRequiredService<KitScreenState>();
        Show(CaseViewTests.Case(KitStage.InUse), SessionStage.Handoff);
        Desk.Pack([], [], null, null);
        Assert.True(Desk.Now.Packed);

        // Over, and the same loan's next session: it ends with packing and counting like the first one.
        screen.SetScene(new KitScene(_session, SessionStage.Closed, null, "Maren Toft", null, false, null, false));
        Assert.True(Desk.Now.Packed);
        screen.SetScene(new KitScene(SessionId.New(), SessionStage.Handoff, null, "Maren Toft", null, false, null, false));

        Assert.False(Desk.Now.Packed);
        Assert.Equal(CaseShown.PackUp, CaseView.Of(Desk.Now, screen.Now, stopPressed: false));
    }
}
