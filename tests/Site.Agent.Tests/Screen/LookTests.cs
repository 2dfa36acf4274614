using System.Globalization;
using System.Text.RegularExpressions;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Screen;

public sealed partial class LookTests
{
    private static readonly Dictionary<string, string> _colours = Colour().Matches(Style("kit-look.css")).ToDictionary(match => match.Groups[1].Value, match => match.Groups[2].Value);

    /// <summary>The style sheets lie in the source folder, beside which the agent was built.</summary>
    private static string Style(string name) =>
        File.ReadAllText(Path.GetFullPath(Path.Combine(Path.GetDirectoryName(BuiltPrograms.SiteAgent)!, "..", "..", "..", "wwwroot", name)));

    // relative luminance and contrast ratio as WCAG 2.2 defines them
    private static double Luminance(string hex) => Enumerable.Range(0, 3)
        .Select(index => int.Parse(hex.AsSpan(1 + (index * 2), 2), NumberStyles.HexNumber, CultureInfo.InvariantCulture) / 255.0)
        .Select(value => value <= 0.04045 ? value / 12.92 : Math.Pow((value + 0.055) / 1.055, 2.4))
        .Zip([0.2126, 0.7152, 0.0722], (value, weight) => value * weight)
        .Sum();

    private static double Contrast(string one, string other)
    {
        var (a, b) = (Luminance(_colours[one]), Luminance(_colours[other]));
        return (Math.Max(a, b) + 0.05) / (Math.Min(a, b) + 0.05);
    }

    [Theory]
    [InlineData("ink", "ground")]
    [InlineData("ink", "paper")]
    [InlineData("ink", "wait-wash")]
    [InlineData("ink-soft", "paper")]
    [InlineData("calm-deep", "paper")]
    [InlineData("calm-deep", "calm-wash")]
    [InlineData("paper", "calm-deep")]
    [InlineData("paper", "calm")]
    [InlineData("paper", "good")]
    [InlineData("paper", "stop")]
    [InlineData("good", "good-wash")]
    [InlineData("good", "paper")]
    [InlineData("wait", "wait-wash")]
    [InlineData("stop-deep", "stop-wash")]
    [InlineData("left", "paper")]
    [InlineData("right", "paper")]
    public void TextStandsOutFromItsGround(string text, string ground) => Assert.True(Contrast(text, ground) >= 4.5, $"{text} on {ground}: {Contrast(text, ground):0.00}");

    [Theory]
    [InlineData("calm", "calm-wash")]
    [InlineData("calm", "ground")]
    [InlineData("focus", "ground")]
    [InlineData("focus", "paper")]
    [InlineData("line", "paper")]
    [InlineData("wait", "paper")]
    [InlineData("right", "calm-wash")]
    [InlineData("left", "calm-wash")]
    public void ShapesStandOutFromTheirGround(string shape, string ground) => Assert.True(Contrast(shape, ground) >= 3, $"{shape} on {ground}: {Contrast(shape, ground):0.00}");

    [Fact]
    public void NothingIsLoadedFromElsewhere() =>
        Assert.All(new[] { "kit.css", "kit-look.css", "kit.js" }, name => Assert.DoesNotMatch(@"(?i)https?://|@import|url\(", Style(name)));

    [GeneratedRegex("--([a-z-]+): (#[0-9a-f]{6});")]
    private static partial Regex Colour();
}
