using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;

namespace TeleHearing.Browser.Tests.Support;

/// <summary>Checks a page against the rules of WCAG 2.2 level AA that a program can check.</summary>
public static class Access
{
    private static readonly string[] _tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

    /// <summary>Fails with every violation found, in words.</summary>
    /// <returns>How many rules were applied.</returns>
    public static async Task<int> Check(IPage page, string what)
    {
        var result = await page.RunAxe(new AxeRunOptions
        {
            RunOnly = new RunOnlyOptions { Type = "tag", Values = [.. _tags] },
        });
        var found = result.Violations.Select(violation =>
            $"{violation.Id}: {violation.Help}\n  " + string.Join("\n  ", violation.Nodes.Select(node => $"{node.Html} | {string.Join("; ", node.Any.Concat(node.All).Concat(node.None).Select(check => check.Message))}")));
        Assert.True(result.Violations.Length == 0, $"{what}:\n{string.Join('\n', found)}");
        var applied = result.Passes.Length;
        Assert.True(applied > 0, $"{what}: no rule applied, so nothing was checked.");
        return applied;
    }
}
