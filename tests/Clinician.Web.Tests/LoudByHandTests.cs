using Bunit;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Clinician.Web.Workbench.Hearing;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>Loud tones, maskers and the deliberate yes they need.</summary>
public sealed class LoudByHandTests : ConsoleContext
{
    [Fact]
    public async Task AboveOneHundredNothingIsSentBeforeADeliberateYes()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));
        Dial(new HandDial(Ear.Right, AudiometricFrequency.FromHertz(4000), 105, 5, ToneShape.Steady, 1000));

        await Press(page, " ");
        Assert.Empty(Link.Asked);
        Assert.Contains("105 dB HL at 4000 Hz in the right ear", Reading.Text(page.Find("dialog")), StringComparison.Ordinal);
        Assert.True(page.Button("Present at 105 dB HL").HasAttribute("disabled"));

        page.Field("The person knows").Change(true);
        await page.Button("Present at 105 dB HL").ClickAsync(new());

        var order = Assert.IsType<OrderStep>(Assert.Single(Link.Asked).Command);
        Assert.True(order.LoudConfirmed);
        Assert.Empty(page.FindAll("dialog"));
    }

    [Fact]
    public async Task AMaskerAndABoneVibratorGoWithTheToneAndAreSaid()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));

        await Press(page, "b", "m", "PageUp", "PageUp", " ");

        var tone = Assert.IsType<PresentToneStep>(Assert.IsType<OrderStep>(Assert.Single(Link.Asked).Command).Request);
        Assert.Equal(ConductionRoute.BoneMastoid, tone.Route);
        Assert.Equal(40, tone.MaskerDbEm);
        Assert.Contains("Masker in the left ear: 40 dB EM", page.Words(), StringComparison.Ordinal);
        Assert.Contains("vibrator on the mastoid", page.Words(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ALoudMaskerNeedsADeliberateYesWhichIsNoneForALouderOne()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));
        var hand = Services.GetRequiredService<HandTest>();
        Dial(HandDial.First with { LevelDbHl = 60, Masked = true, MaskerDbEm = 85 });

        await Press(page, " ");
        Assert.Empty(Link.Asked);
        Assert.Contains("85 dB EM", Reading.Text(page.Find("dialog")), StringComparison.Ordinal);
        await page.InvokeAsync(hand.ConfirmLoud);
        Assert.True(Assert.IsType<OrderStep>(Assert.Single(Link.Asked).Command).LoudConfirmed);

        await Press(page, "PageDown", " ");
        Assert.Equal(2, Link.Asked.Count);
        await Press(page, "PageUp", "PageUp", " ");
        Assert.NotNull(hand.Asking);
        Assert.Equal(2, Link.Asked.Count);
    }

    [Fact]
    public async Task ANoToALoudToneSendsNothing()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));
        Dial(HandDial.First with { LevelDbHl = 110 });
        await Press(page, " ");

        await page.Button("Do not").ClickAsync(new());

        Assert.Empty(Link.Asked);
        Assert.Empty(page.FindAll("dialog"));
    }

    [Fact]
    public async Task AYesHoldsForTheSameEarAndFrequencyUpToItsLevelAndNoFurther()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));
        var hand = Services.GetRequiredService<HandTest>();
        Dial(HandDial.First with { LevelDbHl = 110 });
        await Press(page, " ");
        await page.InvokeAsync(hand.ConfirmLoud);

        await Press(page, "ArrowDown", " ");
        Assert.Equal(2, Link.Asked.Count);
        Assert.All(Link.Asked, envelope => Assert.True(((OrderStep)envelope.Command).LoudConfirmed));

        await Press(page, "ArrowUp", "ArrowUp", " ");
        Assert.Equal(115, hand.Asking?.LevelDbHl);
        await page.InvokeAsync(hand.DeclineLoud);

        await Press(page, "ArrowDown", "l", " ");
        Assert.Equal(110, hand.Asking?.LevelDbHl);
        Assert.Equal(2, Link.Asked.Count);
    }

    [Fact]
    public async Task AStepThatMayGoAboveOneHundredIsWarnedOfInWordsWhileItRuns()
    {
        var running = SampleViews.Search(Ear.Right, [1000], 0) with { LoudConfirmed = true };
        var page = await Open(SampleViews.At(SessionStage.Testing) with { Step = running });
        Assert.Contains("Louder than 100 dB HL is allowed now.", page.Markup, StringComparison.Ordinal);

        Link.Push(SampleViews.At(SessionStage.Testing, 41) with { Step = running with { Ending = StepEnding.Completed } });

        page.WaitForAssertion(() => Assert.DoesNotContain("Louder than 100 dB HL is allowed now.", page.Markup, StringComparison.Ordinal));
    }

    [Fact]
    public async Task AtOneHundredNobodyIsAsked()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));
        Dial(HandDial.First with { LevelDbHl = 100 });

        await Press(page, " ");

        Assert.False(Assert.IsType<OrderStep>(Assert.Single(Link.Asked).Command).LoudConfirmed);
    }

    [Fact]
    public async Task ASearchThatMayGoAboveOneHundredAsksFirst()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));

        await Press(page, "w");
        page.Field("Let this search go above 100 dB HL").Change(true);
        await page.Button("○ R Search right").ClickAsync(new());
        Assert.Empty(Link.Asked);

        page.Field("The person knows").Change(true);
        await page.Button("Search, above 100 dB HL").ClickAsync(new());
        Assert.True(Assert.IsType<OrderStep>(Assert.Single(Link.Asked).Command).LoudConfirmed);
    }

    [Fact]
    public async Task NoLevelAndNoYesIsCarriedOverToAnotherPerson()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));
        var hand = Services.GetRequiredService<HandTest>();
        Dial(HandDial.First with { LevelDbHl = 110 });
        await Press(page, " ");
        await page.InvokeAsync(hand.ConfirmLoud);

        var other = SessionId.New();
        Link.Reply = new WatchReply(SampleViews.At(SessionStage.Testing) with { SessionId = other }, null);
        page.Render(parameters => parameters.Add(shown => shown.Id, other.Value));

        Assert.Equal(HandDial.First, hand.Dial);
        Dial(HandDial.First with { LevelDbHl = 110 });
        await Press(page, " ");
        Assert.NotNull(hand.Asking);
        Assert.Single(Link.Asked);
    }

    [Fact]
    public async Task TheSoundDoseOfTheSessionIsShownWithItsMeaning()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing) with { Dose = new DoseView(2.345, 0.001) });

        Assert.Contains("right 2.3 %, left less than 0.01 % of a day's", page.Markup, StringComparison.Ordinal);
        Assert.Contains("no limit for a hearing test", page.Markup, StringComparison.Ordinal);
    }

    private void Dial(HandDial dial) => Services.GetRequiredService<HandTest>().Set(dial);
}
