using Bunit;
using TeleHearing.Clinician.Web.Consent;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>The owner changes a text: it is seen as the kit shows it, and becomes the next version.</summary>
public sealed class ConsentTextsPageTests : ConsoleContext
{
    [Fact]
    public async Task AChangeIsKeptAsTheNextVersionOfItsLanguage()
    {
        var page = Opened("Change The hearing test, en, version 2");
        Link.ConsentTextAnswer = new ConsentTextReply(new KeptConsentText(SampleViews.ConsentTexts()[1].Text with { Version = 3 }, SampleViews.HubTime, "Pella Ordway"), [], null);

        page.Field("The question").Input("May we test your hearing?");
        page.Field("What it means").Input("One thought.\n\nAnother one.");
        JSInterop.VerifyFocusAsyncInvoke();
        Assert.Equal("May we test your hearing?", page.Find(".preview h3").TextContent);
        Assert.Equal(["One thought.", "Another one."], page.FindAll(".preview p:not(.pair)").Select(line => line.TextContent));
        await page.Button("Keep as the next version").ClickAsync(new());

        var kept = Assert.Single(Link.TextsKept);
        Assert.Equal((ConsentPurpose.Care, "en", 3, "May we test your hearing?"), (kept.Purpose, kept.Language, kept.Version, kept.Title));
        page.WaitForAssertion(() => Assert.Contains("Kept as version 3", Reading.Text(page.Find("section [role=status]")), StringComparison.Ordinal));
    }

    [Fact]
    public async Task AnotherLanguageBeginsAtVersionOne()
    {
        var page = Opened("Change The hearing test, es, version 1");

        page.Field("Language").Input("pt");
        await page.Button("Keep as the next version").ClickAsync(new());

        Assert.Equal(("pt", 1), (Assert.Single(Link.TextsKept).Language, Link.TextsKept[0].Version));
    }

    [Fact]
    public async Task WhatIsWrongIsSaidAndNothingIsLost()
    {
        var page = Opened("Look The hearing test, en, version 1");
        Link.ConsentTextAnswer = new ConsentTextReply(null, ["The two buttons say the same."], null);

        page.Field("Button that agrees").Input("Yes");
        await page.Button("Keep as the next version").ClickAsync(new());

        page.WaitForAssertion(() => Assert.Contains("Not kept. The two buttons say the same.", Reading.Text(page.Find("section [role=status]")), StringComparison.Ordinal));
        Assert.Equal("Yes", page.Field("Button that agrees").GetAttribute("value"));
    }

    private IRenderedComponent<ConsentTextsPage> Opened(string button)
    {
        var page = Render<ConsentTextsPage>();
        page.WaitForAssertion(() => Assert.NotEmpty(page.FindAll("tbody button")));
        page.FindAll("tbody button").Single(found => Reading.Text(found) == button).Click();
        return page;
    }
}
