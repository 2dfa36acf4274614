using System.Globalization;
using System.Text.RegularExpressions;

namespace TeleHearing.Architecture.Tests;

/// <summary>What docs/validation/security.md claims: that every item of OWASP ASVS 5.0.0, levels 1 and 2, is in the list, that evidence which is named exists, and that the counts are true.</summary>
/// <remarks>The numbers of items are those of the standard's own list (OWASP Application Security Verification Standard 5.0.0, CSV of the project): 253 of levels 1 and 2, of them 70 of level 1.</remarks>
public sealed partial class SecurityPageTests
{
    private const int Items = 253;
    private const int OfLevelOne = 70;

    /// <summary>Least share of applicable items with evidence.</summary>
    private const double LeastShare = 0.9;

    private static readonly IReadOnlyList<Item> _items = [.. File.ReadLines(Path.Combine(Repository.Root, "docs/validation/asvs.csv")).Skip(1).Select(Parse)];

    [Fact]
    public void EveryItemOfBothLevelsIsThereOnce()
    {
        Assert.Equal(Items, _items.Count);
        Assert.Equal(Items, _items.Select(item => item.Number).Distinct().Count());
        Assert.Equal(OfLevelOne, _items.Count(item => item.Level == "1"));
        Assert.All(_items, item => Assert.Matches(ItemNumber(), item.Number));
        Assert.All(_items, item => Assert.Contains(item.Verdict, (string[])["met", "open", "not applicable"]));
    }

    [Fact]
    public void EvidenceThatIsNamedExistsAndWhatHasNoneSaysWhy()
    {
        var classes = Directory.EnumerateFiles(Path.Combine(Repository.Root, "tests"), "*Tests*.cs", SearchOption.AllDirectories)
            .Where(file => !file.Contains($"{Path.DirectorySeparatorChar}obj{Path.DirectorySeparatorChar}", StringComparison.Ordinal))
            .SelectMany(file => TestClass().Matches(File.ReadAllText(file)).Select(match => match.Groups[1].Value))
            .ToHashSet(StringComparer.Ordinal);

        var missing = _items.SelectMany(item => item.Evidence.Select(name => (item.Number, name)))
            .Where(named => !classes.Contains(named.name) && !File.Exists(Path.Combine(Repository.Root, named.name)));

        Assert.Empty(missing);
        Assert.All(_items.Where(item => item.Verdict == "met"), item => Assert.NotEmpty(item.Evidence));
        Assert.All(_items.Where(item => item.Verdict != "met"), item => Assert.NotEmpty(item.Note));
    }

    [Fact]
    public void TheCountsOnThePageAreTrue()
    {
        var page = File.ReadAllText(Path.Combine(Repository.Root, "docs/validation/security.md"));
        var (met, open) = (_items.Count(item => item.Verdict == "met"), _items.Count(item => item.Verdict == "open"));
        var applicable = met + open;

        Assert.Contains(string.Create(CultureInfo.InvariantCulture, $"| {Items} | {Items - applicable} | {applicable} | {met} | {open} | {100.0 * met / applicable:0.0} % |"), page, StringComparison.Ordinal);
        Assert.True(met >= LeastShare * applicable, $"{met} of {applicable} have evidence.");
        Assert.All(_items.Where(item => item.Verdict == "open"), item => Assert.Contains(item.Number, page, StringComparison.Ordinal));
    }

    // Fields hold no line break; those with a comma stand in quotes.
    private static Item Parse(string line)
    {
        var fields = Field().Matches(line).Select(match => match.Groups[1].Success ? match.Groups[1].Value.Replace("\"\"", "\"", StringComparison.Ordinal) : match.Groups[2].Value).ToList();
        Assert.Equal(5, fields.Count);
        return new Item(fields[0], fields[1], fields[2], fields[3].Split(' ', StringSplitOptions.RemoveEmptyEntries), fields[4]);
    }

    private sealed record Item(string Number, string Level, string Verdict, IReadOnlyList<string> Evidence, string Note);

    [GeneratedRegex(@"^V\d{1,2}\.\d{1,2}\.\d{1,2}$")]
    private static partial Regex ItemNumber();

    [GeneratedRegex(@"\bclass (\w+Tests)\b")]
    private static partial Regex TestClass();

    [GeneratedRegex("(?:^|,)(?:\"((?:[^\"]|\"\")*)\"|([^,]*))")]
    private static partial Regex Field();
}
