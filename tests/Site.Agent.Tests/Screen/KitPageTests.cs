using Bunit;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Steps;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Screen;

public sealed class KitPageTests : BunitContext
{
    private static readonly SessionId _session = SessionId.New();
    private readonly TempFolder _folder = new();

    public KitPageTests()
    {
        JSInterop.Mode = JSRuntimeMode.Loose;
        Services.AddLogging(logging => logging.ClearProviders());
        Services.AddAgent(RunningAgent.OptionsFor(_folder, new Uri("http://127.0.0.1:1/")) with { RecordPath = null });
    }

    public static TheoryData<SessionStage> Stages => [.. Enum.GetValues<SessionStage>()];

    private KitScreenState State => Services.GetRequiredService<KitScreenState>();

    protected override void Dispose(bool disposing)
    {
        base.Dispose(disposing);
        _folder.Dispose();
    }

    private static KitScene Scene(SessionStage stage, string? running = null, string? message = null, bool done = false, bool stopped = false) =>
        new(_session, stage, null, "Maren Toft", message, done, running, stopped);

    private IRenderedComponent<KitPage> Show(KitScene scene)
    {
        State.SetLink(LinkState.Linked);
        State.SetScene(scene);
        return Render<KitPage>();
    }

    private string MarkupWhile(SessionStage stage, StepRequest request)
    {
        var current = Services.GetRequiredService<CurrentStep>();
        var step = current.Begin(new StepOrder(_session, StepId.New(), 1, 1, 1, 100, 1, [], request), CancellationToken.None);
        var page = Show(Scene(stage, request is ProveSidesStep ? "prove-sides" : request is MeasureRoomStep ? "measure-room" : "search"));
        var markup = System.Text.RegularExpressions.Regex.Replace(page.Markup, " blazor:[^ >]*", string.Empty);
        current.End(step);
        return markup;
    }

    [Theory]
    [MemberData(nameof(Stages))]
    public void NothingOnTheScreenDependsOnLevelSideOrFrequency(SessionStage stage)
    {
        foreach (var (one, other) in new (StepRequest, StepRequest)[]
        {
            (new PresentToneStep(Ear.Left, 1000, 10, ToneShape.Pulsed, 1000), new PresentToneStep(Ear.Right, 8000, 85, ToneShape.Steady, 3000)),
            (new SearchThresholdStep(Ear.Left, 250, StoppingRule.TwoOfThree, ToneShape.Pulsed), new SearchThresholdStep(Ear.Right, 4000, StoppingRule.ThreeOfFive, ToneShape.Steady)),
            (new ProveSidesStep(4, 500, 30), new ProveSidesStep(12, 4000, 70)),
        })
        {
            Assert.Equal(MarkupWhile(stage, one), MarkupWhile(stage, other));
        }
    }

    [Theory]
    [MemberData(nameof(Stages))]
    public void NoStageShowsALevelAFrequencyOrThatAToneIsPlaying(SessionStage stage)
    {
        foreach (var running in new StepRequest[] { new PresentToneStep(Ear.Left, 4000, 85, ToneShape.Pulsed, 1000), new ProveSidesStep(6, 4000, 85), new MeasureRoomStep(10) })
        {
            var text = Words(MarkupWhile(stage, running));

            Assert.DoesNotMatch(@"\b(dB|HL|Hz|kHz|decibel|level|threshold)\b", text);
            Assert.DoesNotMatch(@"(?i)tone now|sound now|playing|listen now|85|4000", text);
        }
    }

    [Theory]
    [MemberData(nameof(Stages))]
    public void StopAndHelpAreInTheSamePlaceInEveryStage(SessionStage stage)
    {
        var page = Show(Scene(stage));
        var footer = page.Find("footer");

        Assert.Equal(["stop", "help"], footer.QuerySelectorAll("button").Select(button => button.ClassName));
        Assert.Contains("Stop", footer.QuerySelector("form[action=stop] button.stop")!.TextContent, StringComparison.Ordinal);
        Assert.NotNull(footer.QuerySelector("button.stop svg"));
        Assert.False(footer.QuerySelector("button.stop")!.HasAttribute("disabled"));
    }

    [Fact]
    public void WhoLeadsIsSaidWhenItChangesAndWhenNobodyDoes()
    {
        var page = Show(Scene(SessionStage.RoomNoise) with { ControlEpoch = 1 });
        Assert.DoesNotContain("leads", page.Markup, StringComparison.Ordinal);

        State.SetScene(Scene(SessionStage.RoomNoise) with { ControlEpoch = 2, ClinicianName = "Ivo Lindqvist", LedBefore = "Maren Toft" });
        page.WaitForAssertion(() => Assert.Contains("Ivo Lindqvist leads now, instead of Maren Toft.", page.Markup, StringComparison.Ordinal));

        State.SetScene(Scene(SessionStage.RoomNoise) with { ControlEpoch = 3, AssistantName = "Ada Wiksell" });
        page.WaitForAssertion(() => Assert.Contains("Ada Wiksell does this part. Maren Toft stays with you.", page.Markup, StringComparison.Ordinal));

        State.SetScene(Scene(SessionStage.Paused) with { ControlEpoch = 4, ClinicianName = null });
        page.WaitForAssertion(() => Assert.Contains("Nobody leads at this moment.", page.Markup, StringComparison.Ordinal));
    }

    [Fact]
    public void TheRespondingPadStaysForTheWholeOfTheListeningStage()
    {
        var idle = Show(Scene(SessionStage.Testing)).Find("button.pad").TextContent;
        var whileSearching = MarkupWhile(SessionStage.Testing, new SearchThresholdStep(Ear.Left, 250, StoppingRule.TwoOfThree, ToneShape.Pulsed));

        Assert.Contains("Press when you hear a sound, even a very soft one", idle, StringComparison.Ordinal);
        Assert.Contains("Press when you hear a sound, even a very soft one", whileSearching, StringComparison.Ordinal);
    }

    [Fact]
    public async Task TheSideButtonsHaveLetterShapeAndWordAndTheAnswerGoesToTheStep()
    {
        var page = Show(Scene(SessionStage.SideProof, running: "prove-sides"));
        var (left, right) = (page.Find("button.side-left"), page.Find("button.side-right"));
        var sides = Services.GetRequiredService<SideAnswers>();
        sides.Open();

        Assert.Contains("Left ear", left.TextContent, StringComparison.Ordinal);
        Assert.Contains("Right ear", right.TextContent, StringComparison.Ordinal);
        Assert.NotNull(left.QuerySelector("svg path"));
        Assert.NotNull(right.QuerySelector("svg circle"));
        Assert.Equal("L", left.QuerySelector("b")!.TextContent);
        right.Click();
        Assert.Equal(Ear.Right, await sides.TakeAsync(TimeSpan.FromSeconds(30), TimeProvider.System, Xunit.TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task APersonWhoHearsNothingCanSaySoInsteadOfWaiting()
    {
        var page = Show(Scene(SessionStage.SideProof, running: "prove-sides"));
        var sides = Services.GetRequiredService<SideAnswers>();
        sides.Open();

        page.Find("button.side-none").Click();

        // With a clock that stands still only an answer ends the wait.
        Assert.Null(await sides.TakeAsync(TimeSpan.FromSeconds(30), new FakeTimeProvider(), Xunit.TestContext.Current.CancellationToken));
    }

    [Fact]
    public void DoneAndHelpAreReportedAndSaidBack()
    {
        var journal = Services.GetRequiredService<KitJournal>();
        journal.Unlock(new byte[32]);
        var page = Show(Scene(SessionStage.EarLook));

        page.Find("button.done").Click();
        page.Find("button.help").Click();

        Assert.Equal([new AssistantDone(SessionStage.EarLook), new HelpCalled()], journal.Pending(10).Select(entry => entry.Report));
        page.WaitForAssertion(() => Assert.Contains("Help is called", page.Find("button.help").TextContent, StringComparison.Ordinal));
        State.SetScene(Scene(SessionStage.EarLook, done: true));
        page.WaitForAssertion(() => Assert.Contains("Thank you", page.Find(".done-told").TextContent, StringComparison.Ordinal));
    }

    [Fact]
    public void WhileTheHubIsAwayTheScreenSaysPleaseWaitAndStopStaysThere()
    {
        var page = Show(Scene(SessionStage.Testing));

        State.SetLink(LinkState.Away);

        page.WaitForAssertion(() => Assert.Contains("Please wait - reconnecting. You do not need to do anything.", page.Find("header [role=status]").TextContent, StringComparison.Ordinal));
        Assert.Empty(page.FindAll("button.pad"));
        Assert.Single(page.FindAll("button.stop"));
    }

    [Fact]
    public void AWrittenMessageIsShownWithItsWriter()
    {
        var page = Show(Scene(SessionStage.RoomNoise, message: "Please close the window."));

        Assert.Contains("Maren Toft", page.Find(".message h2").TextContent, StringComparison.Ordinal);
        Assert.Equal("Please close the window.", page.Find(".message p").TextContent);
    }

    [Fact]
    public void AReloadedScreenShowsTheSame()
    {
        var first = Show(Scene(SessionStage.SideProof, running: "prove-sides", message: "Hello"));
        var again = Render<KitPage>();

        Assert.Equal(Words(first.Markup), Words(again.Markup));
    }

    [Fact]
    public void StopShowsTheStoppedCardAtOnceWhateverTheHubsSceneSays()
    {
        var page = Show(Scene(SessionStage.Testing));

        Services.GetRequiredService<KitActions>().Stop();

        page.WaitForAssertion(() => Assert.Equal("Stopped. The sound is off.", page.Find("h1").TextContent));
        Assert.Empty(page.FindAll("button.pad"));
    }

    private static string Words(string markup) => System.Text.RegularExpressions.Regex.Replace(markup, "<[^>]*>", " ");
}
