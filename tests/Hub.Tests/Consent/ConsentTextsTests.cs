using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Consent;

/// <summary>The clinic's texts: shipped ones as rows, changed by the owner as new versions, never in place.</summary>
public sealed class ConsentTextsTests
{
    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Fact]
    public void EveryPurposeComesInTwoLanguagesAndInShortSentences()
    {
        Assert.Equal(2 * ConsentPurposes.All.Count, ShippedConsentTexts.All.Select(text => (text.Purpose, text.Language)).Distinct().Count());
        Assert.Equal(["en", "es"], ShippedConsentTexts.All.Select(text => text.Language).Distinct());
        Assert.All(ShippedConsentTexts.All, text => Assert.Empty(ConsentValidator.Faults(text)));

        // Plain language guidance counts about 15 to 20 words a sentence (ISO 24495-1:2023 asks for short sentences without a number; the number is common practice).
        Assert.All(ShippedConsentTexts.All, text => Assert.All(text.Body.Split(['.', '\n'], StringSplitOptions.RemoveEmptyEntries), sentence => Assert.InRange(sentence.Split(' ', StringSplitOptions.RemoveEmptyEntries).Length, 1, 24)));
        Assert.All(ShippedConsentTexts.All.GroupBy(text => text.Language), language => Assert.Contains(language, text => text.Body.Contains(language.Key == "en" ? "The law where you live" : "La ley del lugar donde vive", StringComparison.Ordinal)));
    }

    [Fact]
    public async Task TheOwnerKeepsTheNextVersionAndOlderOnesStay()
    {
        await using var hub = await RunningHub.Start();
        var pella = await hub.Person("Pella Ordway", Roles.Owner);
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        await using var owner = await hub.Console(pella);
        await using var clinician = await hub.Console(maren);
        var first = (await Read(clinician)).Texts.Select(kept => kept.Text).Single(text => text.Purpose == ConsentPurpose.Images && text.Language == "en");
        var next = first with { Version = 2, Title = "May we take a picture?" };

        Assert.Equal(RefusalCodes.RoleNotAllowed, (await Keep(clinician, next)).Refusal?.Code);
        Assert.Equal(next, (await Keep(owner, next)).Kept!.Text);
        Assert.Equal(RefusalCodes.Invalid, (await Keep(owner, next with { Title = "Changed in place" })).Refusal!.Code);
        Assert.Contains("The two buttons say the same.", (await Keep(owner, next with { Version = 3, Decline = next.Agree })).Faults);

        Assert.Equal(["Nothing differs from version 2."], (await Keep(owner, next with { Version = 3, Title = next.Title + " " })).Faults);

        var texts = (await Read(clinician)).Texts.Where(kept => kept.Text.Purpose == ConsentPurpose.Images && kept.Text.Language == "en").ToList();
        Assert.Equal([first, next], texts.Select(kept => kept.Text));
        Assert.Equal([null, "Pella Ordway"], texts.Select(kept => kept.KeptBy));
    }

    [Fact]
    public async Task ShippedTextsAreKeptOnceAndNeverOverwritten()
    {
        await using var hub = await RunningHub.Start();
        await using (var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token))
        {
            await context.ConsentTexts.Where(row => row.Language == "en" && row.Purpose == "Care").ExecuteUpdateAsync(set => set.SetProperty(row => row.Title, "as it was shipped then"), Token);
        }

        var texts = hub.Get<ConsentTexts>();
        texts.KeepShipped();

        var kept = await texts.All(Token);
        Assert.Equal(ShippedConsentTexts.All.Count, kept.Count);
        Assert.Contains(kept, one => one.Text.Title == "as it was shipped then");
    }

    [Theory]
    [InlineData("en", true)]
    [InlineData("pt-BR", true)]
    [InlineData("zh-Hant-TW", true)]
    [InlineData("English (UK)", false)]
    [InlineData("e", false)]
    [InlineData("en-", false)]
    [InlineData("", false)]
    public void ALanguageIsATag(string tag, bool valid) => Assert.Equal(valid, ConsentValidator.IsLanguage(tag)); // examples of RFC 5646, appendix A

    private static Task<ConsentTextsReply> Read(TestConsole console) => console.Connection.InvokeAsync<ConsentTextsReply>(nameof(IConsoleHub.ReadConsentTexts), Token);

    private static Task<ConsentTextReply> Keep(TestConsole console, ConsentText text) => console.Connection.InvokeAsync<ConsentTextReply>(nameof(IConsoleHub.KeepConsentText), text, Token);
}
