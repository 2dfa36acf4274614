using Bunit;
using Microsoft.AspNetCore.Components.Forms;
using TeleHearing.Clinician.Web.Kits;
using TeleHearing.Clinician.Web.Kits.Items;
using TeleHearing.Clinician.Web.Kits.Scan;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>What belongs in a case, on the kit's page.</summary>
public sealed class KitItemTests : ConsoleContext
{
    private static readonly KitItem _unit = new("U1", "earphone unit", 1, 1) { Serial = "AU-1140", Pairing = "pair", MassKg = 0.85, VolumeL = 2, Battery = new ItemBattery(18.5, 4, 1, true) };
    private static readonly KitItem _earphones = new("E1", "circumaural earphones", 1, 1) { Serial = "CE-2207", Pairing = "pair", Contact = ItemContact.Skin, NeedsCertificate = true };
    private static readonly KitItem _wipes = new("W1", "wipes", 20, 10) { SingleUse = true };

    private static KitView View => SampleKits.Good() with
    {
        Items = [_unit, _earphones, _wipes],
        InCase = [new ItemCount("U1", 1), new ItemCount("W1", 8)],
        Counts =
        [
            new KitCount(SampleViews.HubTime, "Pella Nyström", CountOccasion.Received, [new ItemCount("U1", 1), new ItemCount("E1", 0), new ItemCount("W1", 8)], new string('b', 64)),
            new KitCount(SampleViews.HubTime.AddDays(-12), "Pella Nyström", CountOccasion.Packed, [new ItemCount("U1", 1), new ItemCount("E1", 1), new ItemCount("W1", 18)], new string('a', 64)),
        ],
        Moves = [.. SampleKits.Good().Moves.Where(move => move.Name is not ("set-contents" or "count-kit")), new Move("set-contents", true, null), new Move("count-kit", true, null)],
    };

    private async Task<IRenderedComponent<KitPage>> Open()
    {
        await SignIn();
        Link.KitReply = new WatchKitReply(View, null);
        return Render<KitPage>(parameters => parameters.Add(page => page.Id, "kit-01"));
    }

    private static async Task<AngleSharp.Dom.IElement> Editor(IRenderedComponent<KitPage> page)
    {
        await page.Find(".contents details").TriggerEventAsync("ontoggle", EventArgs.Empty);
        return page.Find(".contents form.items");
    }

    [Fact]
    public async Task APictureTheBrowserNeverAnswersForIsGivenUpInWords()
    {
        await SignIn();
        var never = new TaskCompletionSource<IBrowserFile>();
        var field = Render<PhotoField>(parameters => parameters.Add(photo => photo.KitId, new KitId("kit-01")).Add(photo => photo.Shrink, _ => new ValueTask<IBrowserFile>(never.Task)));
        var taken = field.InvokeAsync(() => field.FindComponent<InputFile>().Instance.OnChange.InvokeAsync(new InputFileChangeEventArgs([new NoPicture()])));
        Assert.Contains("Sending the photo…", field.Markup, StringComparison.Ordinal);

        Time.Advance(TimeSpan.FromSeconds(21));
        await taken;

        field.WaitForAssertion(() => Assert.Contains("This is not a picture the browser can read", field.Markup, StringComparison.Ordinal));
        Assert.DoesNotContain("Sending the photo…", field.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task TheListSaysWhatIsThereWhatLacksAndTheSums()
    {
        var text = (await Open()).Find(".contents").TextContent;

        Assert.Contains("✓ 1 of 1", text, StringComparison.Ordinal);
        Assert.Contains("✕ 8 of 20, at least 10", text, StringComparison.Ordinal);
        Assert.Contains("1, not counted", text, StringComparison.Ordinal);
        Assert.Contains("In all: 0.85 kg (2 lines without a mass), 2 litres (2 lines without a volume), 1 lithium battery, 18.5 Wh.", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task TwoCountsStandSideBySideWithWhatDiffers()
    {
        var page = await Open();

        Assert.Equal([new string('a', 64), new string('b', 64)], page.FindAll(".case-photo img").Select(image => image.GetAttribute("src")!.Split('/')[^1]));
        Assert.Contains("✕ 1 missing", page.Find("tr.missing").TextContent, StringComparison.Ordinal);
        Assert.Contains("✓ 10 used, single-use", page.Find("tr.used").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ExchangingOneOfAPairNamesThePairAndTheWholeListIsSent()
    {
        var page = await Open();
        await Editor(page);
        var serial = page.FindAll("fieldset.item")[1].QuerySelectorAll("label.field").Single(label => label.TextContent.Contains("Serial number", StringComparison.Ordinal)).QuerySelector("input")!;

        await serial.InputAsync(new() { Value = "CE-2208" });

        Assert.Contains("circumaural earphones CE-2207 is exchanged, and earphone unit AU-1140 stays.", page.Find("form.items").TextContent, StringComparison.Ordinal);
        await page.Find("form.items").SubmitAsync();
        var sent = Assert.IsType<SetContents>(Assert.Single(Link.AskedOfKits).Command);
        Assert.Equal([_unit, _earphones with { Serial = "CE-2208" }, _wipes], sent.Items);
    }

    [Fact]
    public async Task WhatIsWrongIsSaidBesideItsFieldAndNothingIsSent()
    {
        var page = await Open();
        await Editor(page);
        foreach (var (label, value) in new[] { ("At least", "30"), ("Mass of one", "heavy") })
        {
            var input = page.FindAll("fieldset.item")[2].QuerySelectorAll("label.field").Single(field => field.TextContent.Contains(label, StringComparison.Ordinal)).QuerySelector("input")!;
            await input.InputAsync(new() { Value = value });
        }

        await page.Find("form.items").SubmitAsync();

        Assert.Empty(Link.AskedOfKits);
        Assert.Equal(2, page.FindAll("form.items [aria-invalid]").Count);
        Assert.Contains("2 things are not right yet; nothing was changed.", page.Find("form.items").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task TheCaseIsCountedInOneFormToWhichTheCountsLead()
    {
        var page = await Open();
        Assert.Equal("kits/kit-01?do=count-kit#do-count-kit", page.Find("[aria-labelledby=kit-counts] .links a").GetAttribute("href"));
        var form = page.Find("#do-count-kit form");
        Assert.Single(page.FindAll("form"), found => found.TextContent.Contains("Keep the count", StringComparison.Ordinal));
        Assert.Contains("Count at least one line.", form.TextContent, StringComparison.Ordinal);

        await form.QuerySelector("input[aria-label='Counted: wipes']")!.InputAsync(new() { Value = "1000" });
        Assert.Contains("from 0 to 999: wipes", page.Find("#do-count-kit").TextContent, StringComparison.Ordinal);
        await page.Find("#do-count-kit form").SubmitAsync();
        Assert.Empty(Link.AskedOfKits);
        await page.Find("#do-count-kit input[aria-label='Counted: wipes']").InputAsync(new() { Value = "12" });
        await page.Find("#do-count-kit form").SubmitAsync();

        Assert.Equal([new ItemCount("W1", 12)], Assert.IsType<CountKit>(Assert.Single(Link.AskedOfKits).Command).Counts);
    }

    [Fact]
    public async Task TheParcelListStatesNoLegalityAndAsksForTheCarrier()
    {
        var page = await Open();
        var panel = page.Find("#kit-parcel").ParentElement!;

        Assert.Contains("UN 3481", panel.TextContent, StringComparison.Ordinal);
        Assert.Contains("It states no legality", panel.TextContent, StringComparison.Ordinal);
        await panel.QuerySelectorAll("input").Single(input => input.GetAttribute("aria-label") == "Charge of earphone unit, %").InputAsync(new() { Value = "80" });

        Assert.Contains("U1 at 80 %", page.Find("#kit-parcel").ParentElement!.TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task TypingALabelWorksWithoutACameraAndEmptyTextIsExplained()
    {
        await SignIn();
        var page = Render<ScanPage>();

        Assert.True(page.Markup.IndexOf("Text on the label", StringComparison.Ordinal) < page.Markup.IndexOf("Use the camera", StringComparison.Ordinal));
        await page.Find("form").SubmitAsync();

        Assert.Contains("Type the text on the label first", page.Find("[role=alert]").TextContent, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("NotAllowedError", "does not let this page use the camera")]
    [InlineData("NotFoundError", "No camera was found")]
    [InlineData("NotReadableError", "another program")]
    [InlineData("insecure", "https")]
    [InlineData("anything else", "cannot be used here")]
    public void ARefusedCameraIsSaidInWordsThatNameTyping(string fault, string words)
    {
        Assert.Contains(words, CameraWords.Of(fault), StringComparison.Ordinal);
        Assert.Contains("type the text on the label", CameraWords.Of(fault), StringComparison.OrdinalIgnoreCase);
    }

    private sealed class NoPicture : IBrowserFile
    {
        public string Name => "case.jpg";

        public DateTimeOffset LastModified => SampleViews.HubTime;

        public long Size => 17;

        public string ContentType => "image/jpeg";

        public Stream OpenReadStream(long maxAllowedSize = 512000, CancellationToken cancellationToken = default) => Stream.Null;
    }
}
