using Bunit;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Clinician.Web.Protocols;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>Protocols as text: what is said of it is said of the text that stands there.</summary>
public sealed class ProtocolsPageTests : ConsoleContext
{
    private const string Praise = "Nothing is wrong with it.";

    [Fact]
    public async Task AVerdictGoesWhenTheTextIsChanged()
    {
        var page = Opened();
        Link.ProtocolAnswer = new ProtocolReply(null, [], null);
        await page.Button("Look for mistakes").ClickAsync(new());
        page.WaitForAssertion(() => Assert.Contains(Praise, page.Markup, StringComparison.Ordinal));

        page.Find("textarea").Input("rubbish");

        Assert.DoesNotContain(Praise, page.Markup, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("rubbish")]
    [InlineData(null)]
    public async Task WhatCannotBeReadIsNamedWithoutBeingSent(string? text)
    {
        var page = Opened();
        page.Find("textarea").Input(text ?? new string('x', 2_000_000));

        await page.Button("Look for mistakes").ClickAsync(new());

        Assert.Empty(Link.HandedIn);
        Assert.Contains(text is null ? "is longer than 65536 characters" : "Line 1:", page.Markup, StringComparison.Ordinal);
        Assert.DoesNotContain("cannot be reached", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public void EveryFieldOfTheFileIsExplainedOnThePage()
    {
        using var written = System.Text.Json.JsonDocument.Parse(ProtocolFile.Write(ShippedProtocols.DiagnosticWithBone));

        Assert.Equal(written.RootElement.EnumerateObject().Select(field => field.Name).Order(), ProtocolFields.All.Select(field => field.Name).Order());
        var shown = Opened().FindAll("section code").Select(code => code.TextContent);
        Assert.Equal(ProtocolFields.All.Select(field => field.Name), shown);
    }

    private IRenderedComponent<ProtocolsPage> Opened()
    {
        var page = Render<ProtocolsPage>();
        page.WaitForAssertion(() => Assert.NotEmpty(page.FindAll("tbody button")));
        page.FindAll("tbody button")[0].Click();
        return page;
    }
}
