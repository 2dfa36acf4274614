using Bunit;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Screen;

/// <summary>A question of consent on the kit's screen: readable, two buttons alike, answered once.</summary>
public sealed class ConsentPanelTests : BunitContext
{
    private static readonly SessionId _session = SessionId.New();
    private readonly TempFolder _folder = new();
    private readonly FakeTimeProvider _time = new(TimeProvider.System.GetUtcNow());

    public ConsentPanelTests()
    {
        JSInterop.Mode = JSRuntimeMode.Loose;
        Services.AddLogging(logging => logging.ClearProviders());
        Services.AddAgent(RunningAgent.OptionsFor(_folder, new Uri("http://127.0.0.1:1/")) with { RecordPath = null });
        Services.AddSingleton<TimeProvider>(_time);
    }

    private KitScreenState State => Services.GetRequiredService<KitScreenState>();

    protected override void Dispose(bool disposing)
    {
        base.Dispose(disposing);
        _folder.Dispose();
    }

    private static ConsentQuestion Question(ConsentPurpose purpose, int place) =>
        new(new ConsentText(purpose, "es", 3, "¿Acepta?", "Primero.\n\nSegundo.", "Acepto", "No acepto", "Ya no acepto"), place, 2);

    private static KitScene Scene(ConsentQuestion? question) =>
        new(_session, SessionStage.Consent, null, "Maren Toft", null, false, null, false) { Question = question };

    private IRenderedComponent<KitPage> Show(KitScene scene)
    {
        State.SetLink(LinkState.Linked);
        State.SetScene(scene);
        return Render<KitPage>();
    }

    [Fact]
    public void TheTextStandsInItsLanguageWithTwoButtonsAlike()
    {
        var page = Show(Scene(Question(ConsentPurpose.Care, 1)));

        var panel = page.Find("section.consent");
        Assert.Equal("es", panel.GetAttribute("lang"));
        Assert.Equal(["1 / 2", "Primero.", "Segundo."], panel.QuerySelectorAll("p").Select(line => line.TextContent));
        var buttons = panel.QuerySelectorAll("button");
        Assert.Equal(["Acepto", "No acepto"], buttons.Select(button => button.TextContent));
        Assert.Equal(buttons[0].ClassName, buttons[1].ClassName);
        Assert.Equal(buttons[0].GetAttribute("style"), buttons[1].GetAttribute("style"));
    }

    [Theory]
    [InlineData(0, true)]
    [InlineData(1, false)]
    public void AnAnswerIsWrittenOnceAndTheNextQuestionComes(int button, bool given)
    {
        Services.GetRequiredService<KitJournal>().Unlock(new byte[32]);
        var page = Show(Scene(Question(ConsentPurpose.Care, 1)));

        Open(page);
        page.FindAll("button.consent-answer")[button].Click();

        Assert.Empty(page.FindAll("section.consent"));
        Assert.False(State.TryAnswer(Question(ConsentPurpose.Care, 1)));
        var written = Assert.Single(Services.GetRequiredService<KitJournal>().Pending(10));
        Assert.Equal(_session, written.SessionId);
        Assert.Equal(new ConsentAnsweredHere(ConsentPurpose.Care, "es", 3, given), Assert.IsType<ConsentAnsweredHere>(written.Report));

        State.SetScene(Scene(Question(ConsentPurpose.RemoteMode, 2)));
        page.WaitForAssertion(() => Assert.Equal("2 / 2", page.Find(".consent-place").TextContent));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    public void ASecondTapAnswersNoQuestionThatWasNotRead(int button)
    {
        Services.GetRequiredService<KitJournal>().Unlock(new byte[32]);
        var page = Show(Scene(Question(ConsentPurpose.Care, 1)));
        Open(page);
        page.FindAll("button.consent-answer")[button].Click();
        State.SetScene(Scene(Question(ConsentPurpose.RemoteMode, 2)));
        page.WaitForAssertion(() => Assert.Equal("2 / 2", page.Find(".consent-place").TextContent));

        // The button in its place takes nothing yet.
        Assert.All(page.FindAll("button.consent-answer"), fresh => Assert.True(fresh.HasAttribute("disabled")));
        page.FindAll("button.consent-answer")[button].Click();
        Assert.Single(Services.GetRequiredService<KitJournal>().Pending(10));

        Open(page);
        page.FindAll("button.consent-answer")[button].Click();
        Assert.Equal([ConsentPurpose.Care, ConsentPurpose.RemoteMode], Services.GetRequiredService<KitJournal>().Pending(10).Select(written => ((ConsentAnsweredHere)written.Report).Purpose));
    }

    [Fact]
    public void AQuestionThatFollowsWithoutAGapIsAPanelOfItsOwnAndAnAnswerIsToTheQuestionAboveTheButton()
    {
        Services.GetRequiredService<KitJournal>().Unlock(new byte[32]);
        var page = Show(Scene(Question(ConsentPurpose.Care, 1)));
        Open(page);
        var first = page.FindComponent<ConsentPanel>().Instance;

        State.SetScene(Scene(Question(ConsentPurpose.RemoteMode, 2)));
        page.WaitForAssertion(() => Assert.Equal("2 / 2", page.Find(".consent-place").TextContent));
        Assert.NotSame(first, page.FindComponent<ConsentPanel>().Instance);
        Assert.All(page.FindAll("button.consent-answer"), fresh => Assert.True(fresh.HasAttribute("disabled")));

        // A press on its way when the question changed says yes to its own question, which is asked no more.
        page.InvokeAsync(() => first.OnAnswer.InvokeAsync(new ConsentPressed(first.Question, true)));
        Assert.Empty(Services.GetRequiredService<KitJournal>().Pending(10));
    }

    /// <summary>Waits until the buttons take an answer.</summary>
    private void Open(IRenderedComponent<KitPage> page)
    {
        _time.Advance(TimeSpan.FromSeconds(1));
        page.WaitForAssertion(() => Assert.All(page.FindAll("button.consent-answer"), button => Assert.False(button.HasAttribute("disabled"))));
    }

    [Fact]
    public void ConsentCanBeTakenBackFromEveryScreenOnceItIsGiven()
    {
        var page = Show(Scene(null));
        Assert.Empty(page.FindAll("button.take-back"));

        State.SetScene(Scene(null) with { Stage = SessionStage.Testing, TakeBack = "Ya no acepto" });

        page.WaitForAssertion(() => Assert.Equal("Ya no acepto", page.Find("footer form[action=take-back] button").TextContent));
    }

    [Fact]
    public void ARecordingIsShown()
    {
        var page = Show(Scene(null) with { Recording = true });

        Assert.Contains("This session is being recorded.", page.Find(".note").TextContent, StringComparison.Ordinal);
    }
}
