using System.Globalization;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;

namespace TeleHearing.Browser.Tests;

/// <summary>Two hundred kits with more than five thousand loans behind them: how long the board takes to open, against an empty page of the console in the same run.</summary>
public sealed class LargeFleetTests(LargeFleetClinic clinic, ITestOutputHelper output) : IClassFixture<LargeFleetClinic>
{
    private const int Rounds = 5;

    /// <summary>Most the board may take against an empty page, both opened by their address. A machine under load slows both.</summary>
    private const double MostTimesEmpty = 2.5;

    // Says, by the page's own clock and counted from the beginning of the navigation, when a thing is first in the page.
    private const string Watch = """
        new MutationObserver((_, observer) => {
          if (document.querySelector("a[data-row]") || [...document.querySelectorAll("main h1")].some(title => title.textContent.includes("no such page"))) {
            window.shownAt = performance.now();
            observer.disconnect();
          }
        }).observe(document, { childList: true, subtree: true, characterData: true });
        """;

    // From the press on the link to the lines of the board, without a new start of the console.
    private const string Open = """
        ([way, wanted]) => new Promise(resolve => {
          const began = performance.now();
          const observer = new MutationObserver(() => {
            if (document.querySelector(wanted)) {
              observer.disconnect();
              requestAnimationFrame(() => resolve(performance.now() - began));
            }
          });
          observer.observe(document, { childList: true, subtree: true });
          document.querySelector(`nav a[href="${way}"]`).click();
        })
        """;

    [Fact]
    public async Task TheBoardOpensInAFewTimesTheTimeOfAnEmptyPage()
    {
        Assert.True(clinic.Loans >= 5000, $"Only {clinic.Loans} loans were entered.");
        await using var context = await clinic.Browser.NewPerson(1440, 900, clinic.ClinicianSignIn);
        var page = await context.NewPageAsync();
        await page.AddInitScriptAsync(Watch);

        var first = await ByAddress(page, "kits");
        var empty = new List<double>();
        var board = new List<double>();
        var within = new List<double>();
        var timeline = new List<double>();
        for (var round = 0; round < Rounds; round++)
        {
            empty.Add(await ByAddress(page, "nothing-is-here"));
            board.Add(await ByAddress(page, "kits"));

            // A console that shows another page and has never read the board.
            await page.GotoAsync(new Uri(clinic.Console, "protocols").ToString());
            await Assertions.Expect(page.Locator("nav a[href='kits']")).ToBeVisibleAsync();
            await Assertions.Expect(page.GetByText("Hub connected")).ToBeVisibleAsync();
            within.Add(await page.EvaluateAsync<double>(Open, new[] { "kits", "a[data-row]" }));
            timeline.Add(await page.EvaluateAsync<double>(Open, new[] { "kits/timeline", ".days path.span" }));
        }

        await Assertions.Expect(page.GetByText("1 to 20 of 200")).ToBeVisibleAsync();
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"200 kits, {clinic.Loans} loans; milliseconds, median of {Rounds}:"));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  board from another page            {Median(within):0}"));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  timeline from the board            {Median(timeline):0}"));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  board by its address               {Median(board):0}"));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  empty page by its address          {Median(empty):0}"));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  ratio of these two                 {Median(board) / Median(empty):0.00}"));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  board, first time after the start  {first:0}"));
        Assert.InRange(Median(board) / Median(empty), 0, MostTimesEmpty);
        Assert.InRange(Median(within) / Median(empty), 0, 1);
    }

    private async Task<double> ByAddress(IPage page, string way)
    {
        await page.GotoAsync(new Uri(clinic.Console, way).ToString());
        await page.WaitForFunctionAsync("() => window.shownAt");
        return await page.EvaluateAsync<double>("() => window.shownAt");
    }

    private static double Median(IReadOnlyList<double> values) => values.Order().ElementAt(values.Count / 2);
}
