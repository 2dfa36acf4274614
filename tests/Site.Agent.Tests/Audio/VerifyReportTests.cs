using TeleHearing.Audiology;
using TeleHearing.Site.Agent.Audio.Verification;
using TeleHearing.Site.Agent.Hosting;

namespace TeleHearing.Site.Agent.Tests.Audio;

/// <summary>The report of a verification, as a newcomer reads it.</summary>
public sealed class VerifyReportTests
{
    private static readonly DateTimeOffset _day = new(2031, 5, 14, 9, 30, 0, TimeSpan.Zero);

    private static Finding Make(Verdict verdict, double? measured = 0, string topic = Topics.Frequency, string unit = "% off") =>
        new(topic, Ear.Left, 1000, string.Empty, null, string.Empty, measured, unit, "-1 to 1 %", Limits.Memory, verdict);

    private static VerifyReport Report(params IReadOnlyList<Finding> findings) => new(_day, "pulse:kit", "pulse:kit.monitor", true, null, false, findings);

    [Fact]
    public void TheHeadlineSaysHowManyLimitsWereJudged()
    {
        Assert.Equal("All 2 limits that were judged are kept.", Report(Make(Verdict.Kept), Make(Verdict.Kept), Make(Verdict.Information)).Headline);
        Assert.Equal("1 of the 2 limits that were judged is not kept.", Report(Make(Verdict.Kept), Make(Verdict.NotKept), Make(Verdict.NotJudged)).Headline);
    }

    [Fact]
    public void AsManyStretchesAreAnnouncedAsAreCounted()
    {
        var items = VerifyPlan.Make(null, quick: true);

        Assert.Equal(52, items.Count);
        Assert.Equal(30, VerifyTurn.Of(items).Count);
        Assert.StartsWith("30 stretches of sound with ", VerifyCommand.Announcement(items), StringComparison.Ordinal);
    }

    [Fact]
    public void AVerdictHasTheSameWordsInSummaryTablesAndConsole()
    {
        var report = Report([.. VerdictWords.Order.Select(verdict => Make(verdict))]);
        var (page, console) = (new VerifyPage(report).Html(), string.Join('\n', report.Summary()));

        foreach (var verdict in VerdictWords.Order)
        {
            Assert.Contains($"<td class=\"{verdict}\">{VerdictWords.Of(verdict)}</td>", page, StringComparison.Ordinal);
            Assert.Contains($">{VerdictWords.Of(verdict)}</th>", page, StringComparison.Ordinal);
            Assert.Contains($"<b>1</b> {VerdictWords.Of(verdict)}</li>", page, StringComparison.Ordinal);
            Assert.Contains(VerdictWords.Of(verdict), console, StringComparison.Ordinal);
        }
    }

    [Theory]
    [InlineData(-243.1234, "dB of the tone", "below -140 dB of the tone")]
    [InlineData(double.NegativeInfinity, "dB of the tone", "silent")]
    [InlineData(double.NaN, "dB off", "not found")]
    [InlineData(-0.00001, "dB off", "0.00 dB off")]
    [InlineData(20.3456, "ms", "20.3 ms")]
    [InlineData(0.35012, "octaves", "0.350 octaves")]
    public void ANumberHasNoMorePlacesThanMeanSomething(double value, string unit, string shown) => Assert.Equal(shown, Numbers.Show(value, unit));

    [Fact]
    public void ARangeNamesItsUnitOnceAndWhatWasNotFound()
    {
        Assert.Equal("-0.50 to 0.25 % off", Numbers.Range([Make(Verdict.Kept, -0.5), Make(Verdict.Kept, 0.25)]));
        Assert.Equal("0.25 % off; 1 not found", Numbers.Range([Make(Verdict.NotKept, null), Make(Verdict.Kept, 0.25)]));
        Assert.Equal("silent to -70.0 dB of the tone", Numbers.Range([Make(Verdict.Kept, double.NegativeInfinity, unit: "dB of the tone"), Make(Verdict.Kept, -70, unit: "dB of the tone")]));
    }

    [Fact]
    public void EveryTopicIsExplained()
    {
        var meanings = new[] { Topics.Level("tone"), Topics.Level("pink noise"), Topics.Steps("tone"), Topics.Crosstalk, Topics.PulseOn, Topics.WarbleRate, Topics.MaskerSkirts, Topics.Silence }.Select(Topics.Meaning).ToList();

        Assert.Equal(meanings.Count, meanings.Distinct().Count());
        Assert.All(meanings, meaning => Assert.EndsWith(".", meaning, StringComparison.Ordinal));
    }

    [Fact]
    public void APlotNamesItsAxesItsUnitsAndItsLimits()
    {
        var page = new VerifyPage(Report([.. new[] { 250, 1000, 8000 }.Select(hertz => Make(Verdict.Kept, 0.1) with { Hertz = hertz })])).Html();

        Assert.Contains(">frequency, Hz</text>", page, StringComparison.Ordinal);
        Assert.Contains(">error, %</text>", page, StringComparison.Ordinal);
        Assert.Contains(">limit -1</text>", page, StringComparison.Ordinal);
    }

    [Fact]
    public void WhatIsSilentIsSaidNotDrawn() =>
        Assert.Contains("Nothing to draw: silent", new VerifyPage(Report(Make(Verdict.Kept, double.NegativeInfinity, Topics.Crosstalk, "dB of the tone"))).Html(), StringComparison.Ordinal);

    [Fact]
    public void NamesOfDevicesAreTextNotMarkup() =>
        Assert.Contains("a &lt;b&gt; &amp; c", new VerifyPage(Report(Make(Verdict.Kept)) with { Device = "a <b> & c" }).Html(), StringComparison.Ordinal);
}
