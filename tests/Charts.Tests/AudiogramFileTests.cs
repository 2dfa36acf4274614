using System.Xml.Linq;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using static TeleHearing.Charts.Tests.Drawings;

namespace TeleHearing.Charts.Tests;

public sealed class AudiogramFileTests
{
    private static readonly XNamespace _svg = "http://www.w3.org/2000/svg";

    [Fact]
    public void TheFileIsWellFormedAndNamesItselfForAScreenReader()
    {
        var document = Parse(AudiogramSvg.Render(new Audiogram("Hearing of <A & B>", [Threshold(Ear.Right, 1000, 20)])));

        var root = document.Root!;
        Assert.Equal(_svg + "svg", root.Name);
        Assert.Equal("img", root.Attribute("role")?.Value);
        var named = root.Attribute("aria-labelledby")!.Value.Split(' ');
        var byId = root.Elements().Where(element => element.Attribute("id") is not null).ToDictionary(element => element.Attribute("id")!.Value, element => element.Value);
        Assert.Equal("Hearing of <A & B>", byId[named[0]]);
        Assert.Contains("1000 Hz, 20 dB HL", byId[named[1]], StringComparison.Ordinal);
        Assert.Contains("Left ear: nothing measured yet.", byId[named[1]], StringComparison.Ordinal);
    }

    [Fact]
    public void TextThatNoXmlDocumentCanHoldIsReplaced()
    {
        var svg = AudiogramSvg.Render(new Audiogram("Bell \u0007 and half a pair \ud800", []));

        Assert.Contains("Bell \ufffd", Parse(svg).Root!.Value, StringComparison.Ordinal);
    }

    [Fact]
    public void TheFileNeedsNothingBesideIt()
    {
        var svg = AudiogramSvg.Render(new Audiogram("Alone", [Threshold(Ear.Right, 1000, 20), At(Ear.Left, 1000, new ThresholdOutcome.NoResponseAtLimit(120))]));

        Assert.DoesNotContain(Parse(svg).Descendants().SelectMany(element => element.Attributes()), attribute => attribute.Name.LocalName is "href" or "src" or "style");
        Assert.DoesNotContain("url(", svg, StringComparison.Ordinal);
    }

    [Fact]
    public void EverySymbolLiesInsideTheDrawing()
    {
        var root = Draw(
            At(Ear.Right, 125, new ThresholdOutcome.NoResponseAtLimit(120)),
            At(Ear.Left, 8000, new ThresholdOutcome.NoResponseAtLimit(120)),
            At(Ear.Left, 8000, new ThresholdOutcome.NoiseLimited(-10)),
            Threshold(Ear.Right, 8000, 300));
        var box = root["viewBox"]!.Split(' ').Select(part => double.Parse(part, System.Globalization.CultureInfo.InvariantCulture)).ToList();

        foreach (var line in root.WithClass("point").SelectMany(point => point.Flatten()).Where(element => element.Name == "line"))
        {
            Assert.InRange(line.Number("x2"), 0, box[2]);
            Assert.InRange(line.Number("y2"), 0, box[3]);
        }
    }
}
