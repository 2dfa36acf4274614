using System.Runtime.CompilerServices;
using System.Text.RegularExpressions;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone.Protocols;

namespace TeleHearing.Audiology.Tests.PureTone.Protocols;

/// <summary>The guide says what the code does.</summary>
public sealed partial class ProtocolGuideTests
{
    private static readonly string _guide = File.ReadAllText(Path.Combine(Path.GetDirectoryName(ThisFile())!, "..", "..", "..", "..", "docs", "guides", "protocols.md"));

    [Fact]
    public void TheGuideHasARowForEveryFieldInTheOrderOfAWrittenFile()
    {
        var written = FieldOfFile().Matches(ProtocolFile.Write(ShippedProtocols.Standard)).Select(match => match.Groups[1].Value);

        Assert.Equal(written, RowOfGuide().Matches(_guide).Select(match => match.Groups[1].Value));
    }

    [Fact]
    public void TheExampleOfTheGuideCanBeUsed()
    {
        var example = _guide.Split("```json")[1].Split("```")[0];

        Assert.IsType<ProtocolReading.Read>(ProtocolFile.Parse(example));
    }

    [Fact]
    public void TheGuideNamesEveryRuleSetAndEveryShippedProtocol()
    {
        Assert.All(MaskingRules.All, rules => Assert.Contains($"`{rules.Name}`", _guide, StringComparison.Ordinal));
        Assert.All(ShippedProtocols.All, protocol => Assert.Contains($"`{protocol.Id}`", _guide, StringComparison.Ordinal));
    }

    private static string ThisFile([CallerFilePath] string path = "") => path;

    [GeneratedRegex("^  \"(\\w+)\":", RegexOptions.Multiline)]
    private static partial Regex FieldOfFile();

    [GeneratedRegex("^\\| `(\\w+)` \\|", RegexOptions.Multiline)]
    private static partial Regex RowOfGuide();
}
