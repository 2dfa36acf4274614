using Bunit;
using TeleHearing.Clinician.Web.Data;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>The owner takes a backup, exports a person and erases one, and reads what came of it.</summary>
public sealed class DataPageTests : ConsoleContext
{
    private static readonly Guid _ticket = new("0196f3a0-0000-4000-8000-000000000001");

    [Fact]
    public async Task ABackupIsFetchedOnceBothPassphrasesAreTheSame()
    {
        Link.DataAnswer = _ => new DataReply(_ticket, null, null, null);
        var page = Render<DataPage>();
        page.FindAll("input[type=password]")[0].Change("fifteen or more of them");
        page.FindAll("input[type=password]")[1].Change("something else");

        await page.FindAll("form")[0].SubmitAsync();
        Assert.Contains("The two passphrases differ.", page.Find("[role=status]").TextContent, StringComparison.Ordinal);
        Assert.Empty(Link.DataAsks);

        page.FindAll("input[type=password]")[1].Change("fifteen or more of them");
        await page.FindAll("form")[0].SubmitAsync();
        Assert.Equal("fifteen or more of them", Assert.IsType<BackUp>(Assert.Single(Link.DataAsks)).Passphrase);
        Assert.Equal($"/api/data/{_ticket}", page.Find("[role=status] a").GetAttribute("href"));
        Assert.DoesNotContain("fifteen or more of them", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ErasingAsksFirstAndSaysWhatIsKeptUntilWhen()
    {
        JSInterop.Mode = JSRuntimeMode.Loose;
        Link.DataAnswer = ask => ask is ErasePerson
            ? new DataReply(null, new ErasureView(2, [new KeptView("session 3", new DateOnly(2036, 3, 2), "Records of care are kept for 10 years.")]), null, null)
            : new DataReply(null, null, null, new Refusal(RefusalCodes.Invalid, "There is nobody with the reference P-9.", "Give another."));
        var page = Render<DataPage>();
        page.FindAll("section input")[2].Change("P-0107");
        page.FindAll("section input")[3].Change("asked for by the person");

        await page.FindAll("form")[1].SubmitAsync();
        Assert.Empty(Link.DataAsks);
        await page.FindAll("dialog button")[1].ClickAsync(new());

        Assert.Equal(new ErasePerson("P-0107", "asked for by the person", 10), Assert.Single(Link.DataAsks));
        Assert.Contains("2 sessions were erased.", page.Find("[role=status]").TextContent, StringComparison.Ordinal);
        Assert.Contains("Kept until 2036-03-02: session 3.", page.Find("[role=status]").TextContent, StringComparison.Ordinal);

        await page.Button("Prepare an export").ClickAsync(new());
        Assert.Contains("There is nobody with the reference P-9. Give another.", page.Find("[role=status]").TextContent, StringComparison.Ordinal);
    }
}
