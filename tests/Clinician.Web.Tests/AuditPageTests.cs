using Bunit;
using TeleHearing.Clinician.Web.Audit;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>The owner searches the audit and reads what came to what, in words.</summary>
public sealed class AuditPageTests : ConsoleContext
{
    private static readonly DateTimeOffset _at = new(2026, 3, 2, 9, 30, 0, TimeSpan.Zero);

    private static AuditLine Line(long sequence, string? who = "Maren Toft", string? refused = null, int times = 1) =>
        new(sequence, _at, "Watch a session", "request WatchSessionQuery", who, ["session 0196f3a0-0000-7000-8000-000000000000"], refused, times);

    [Fact]
    public async Task EntriesAreReadAndOlderOnesFollow()
    {
        Link.Audits.Enqueue(new AuditReply([Line(9), Line(8, refused: "identity.role-not-allowed", times: 40)], true, 9, null));
        Link.Audits.Enqueue(new AuditReply([Line(3, who: null)], false, 9, null));

        var page = Render<AuditPage>();

        Assert.Contains("2 newest of 9 entries; older ones fit too.", page.Markup, StringComparison.Ordinal);
        Assert.Contains("✕ refused: identity.role-not-allowed, 40 times within a minute", page.Markup, StringComparison.Ordinal);
        await page.Button("Show older entries").ClickAsync(new());
        Assert.Equal(8, Link.AuditSearches[^1].Before);
        Assert.Equal(3, page.FindAll("tbody tr").Count);
        Assert.Contains("somebody not signed in", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ARefusedSearchLosesNothingThatIsShown()
    {
        Link.Audits.Enqueue(new AuditReply([Line(9)], false, 9, null));
        Link.Audits.Enqueue(new AuditReply([], false, 0, new Refusal(RefusalCodes.Invalid, "The last day lies before the first.", "Put it right and ask again.")));
        Link.Audits.Enqueue(new AuditReply([], false, 9, null));
        var page = Render<AuditPage>();
        page.FindAll("input[type=date]")[0].Change("2026-03-04");
        page.FindAll("input[type=date]")[1].Change("2026-03-01");

        await page.Find("form").SubmitAsync();

        Assert.Contains("The last day lies before the first.", page.Find("[role=status]").TextContent, StringComparison.Ordinal);
        Assert.Single(page.FindAll("tbody tr"));
        Assert.Equal((new DateOnly(2026, 3, 4), new DateOnly(2026, 3, 1)), (Link.AuditSearches[^1].From, Link.AuditSearches[^1].Until));
        await page.Find("form").SubmitAsync();
        Assert.Contains("Nothing in the audit fits.", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public void AHeadThatIsGoneIsShownAboveEverything()
    {
        Link.Audits.Enqueue(new AuditReply([Line(9)], false, 9, null) { HeadsMissing = [Line(8, who: "kit-01", refused: RefusalCodes.HeadMissing)] });

        var page = Render<AuditPage>();

        Assert.Contains("Entries of the hub's store are gone or were replaced.", page.Find("[role=alert]").TextContent, StringComparison.Ordinal);
        Assert.Contains("kit-01: session 0196f3a0-0000-7000-8000-000000000000", Reading.Text(page.Find("[role=alert]")), StringComparison.Ordinal);
        Assert.NotNull(page.Find("a[href='api/audit/heads']"));
    }
}
