using Bunit;
using TeleHearing.Clinician.Web.Fleet.Advice;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>How many kits: from records, from typed numbers, and from numbers that cannot be used.</summary>
public sealed class FleetAdviceTests : ConsoleContext
{
    public FleetAdviceTests()
    {
        SignedIn = new Me("p-3", "Pella Nyström", [Roles.Coordinator]);
        Link.FleetReply = new WatchFleetReply(SampleFleet.View(), null);
    }

    [Fact]
    public async Task TheClinicsOwnRecordsAnswerAtOnceAndSaySo()
    {
        var page = await Open(SampleFleet.Year);

        Assert.Contains("The answer below rests on the clinic's own records", page.Markup, StringComparison.Ordinal);
        Assert.Empty(page.FindAll(".caution"));
        Assert.Contains("104 loans were asked for", page.Markup, StringComparison.Ordinal);
        Assert.Contains("exact Poisson interval", page.Markup, StringComparison.Ordinal);

        // 104 loans in 365 days are 1.99 a week; 21 days each keep 5.98 kits out. Erlang's loss formula gives 10 for at most 5 %; 56 days a year at the laboratory ask for 12.
        Assert.StartsWith("Own 12 kits: then 10 are at work", page.Find(".headline").TextContent, StringComparison.Ordinal);
        Assert.Contains("Today you own 8, of which 6 are at work", page.Markup, StringComparison.Ordinal);
        Assert.Contains("▲ over the wish", page.Markup, StringComparison.Ordinal);
        // Garwood 1936 for 104 events: 85.0 to 126.0; loads of 4.84 and 7.32 need 9 and 12 at work, 11 and 15 owned.
        Assert.Contains("11 to 15 kits to own", page.Find("#advice-answer ~ [role=status]").TextContent, StringComparison.Ordinal);
        Assert.Equal(6, page.FindAll("#advice-assume ~ ul li").Count);
        Assert.Equal("img", page.Find(".fleet-sizes-chart svg").GetAttribute("role"));
        Assert.Equal(4, page.FindAll("#advice-less ~ .scroll tbody tr, #advice-less ~ div tbody tr").Count);
    }

    [Fact]
    public async Task WithoutEnoughRecordsItSaysWhatIsMissingAndTakesTypedNumbers()
    {
        var page = await Open(SampleFleet.Year with { AskedFor = 3, CycleDays = [20] });
        Assert.Contains("Not enough history for a demand: 3 loans", page.Markup, StringComparison.Ordinal);
        Assert.Contains("No answer yet", page.Markup, StringComparison.Ordinal);

        await Type(page, "loansperweek", "2");
        await Type(page, "cycledays", "21");
        await Type(page, "daysaway", "0");
        await page.Find("form").SubmitAsync();

        // A = 2 * 21 / 7 = 6: B(10, 6) = 4.3 % (Erlang's loss formula).
        Assert.StartsWith("Own 10 kits", page.Find(".headline").TextContent, StringComparison.Ordinal);
        Assert.Contains("4.3 %", page.Markup, StringComparison.Ordinal);
        Assert.Contains("The answer rests on numbers that were typed in", page.Markup, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("loansperweek", "many", "as a number above 0")]
    [InlineData("loansperweek", "-1", "as a number above 0")]
    [InlineData("cycledays", "1e9", "as a number above 0")]
    [InlineData("refusedpercent", "100", "below 100 %")]
    [InlineData("kitsowned", "2.5", "as a whole number")]
    [InlineData("timesaway", "40", "away all year")]
    [InlineData("losspercent", "NaN", "from 0 to 100 %")]
    public async Task NonsenseGetsASentenceBesideItsFieldAndTheLastAnswerStays(string field, string text, string words)
    {
        var page = await Open(SampleFleet.Year);
        var before = page.Find(".headline").TextContent;

        await Type(page, field, text);
        await page.Find("form").SubmitAsync();

        Assert.Contains(words, page.Find($"#advice-{field}-fault").TextContent, StringComparison.Ordinal);
        Assert.Equal("true", page.Find($"#advice-{field}").GetAttribute("aria-invalid"));
        Assert.Contains($"advice-{field}-fault", page.Find($"#advice-{field}").GetAttribute("aria-describedby"), StringComparison.Ordinal);
        Assert.Equal(before, page.Find(".headline").TextContent);
        Assert.Contains("still the answer to the numbers before", page.Markup, StringComparison.Ordinal);

        await Type(page, field, field == "kitsowned" ? "9" : "1");
        await page.Find("form").SubmitAsync();
        Assert.DoesNotContain("still the answer to the numbers before", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AHubThatRefusesOrCannotBeReachedLeavesTheFormToBeTyped()
    {
        Link.History = () => throw new IOException("gone");
        var page = await Open(null);

        Assert.Contains("could not be asked for the clinic's own records", page.Find(".caution").TextContent, StringComparison.Ordinal);
        Assert.NotNull(page.Find("form"));

        Link.History = () => new FleetHistoryReply(null, new Refusal(RefusalCodes.RoleNotAllowed, "Your role does not read this.", null));
        Assert.Contains("Your role does not read this.", Render<AdvicePage>().Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AClinicianIsToldWhoWorksItOutAndSeesNoWayThere()
    {
        SignedIn = new Me("p-1", "Maren Toft", [Roles.Clinician]);
        var page = await Open(SampleFleet.Year);

        Assert.Contains("Only a coordinator or an owner works this out", page.Markup, StringComparison.Ordinal);
        Assert.Empty(page.FindAll("form"));
        Assert.Empty(page.FindAll("nav a[href='fleet/advice']"));
    }

    private async Task<IRenderedComponent<AdvicePage>> Open(FleetHistoryView? history)
    {
        await SignIn();
        if (history is not null)
        {
            Link.History = () => new FleetHistoryReply(history, null);
        }

        return Render<AdvicePage>();
    }

    private static Task Type(IRenderedComponent<AdvicePage> page, string field, string text) => page.Find($"#advice-{field}").InputAsync(new() { Value = text });
}
