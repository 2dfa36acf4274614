using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Audio.Verification;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Tests.Audio;

/// <summary>The judgement of a recording, with recordings of outputs that are wrong in known ways. Limits: IEC 60645-1, from memory but for the level.</summary>
public sealed class JudgeTests
{
    private static readonly IReadOnlyList<VerifyItem> _items = VerifyPlan.Make(null, quick: true);

    /// <summary>Plays an item through an output that does something to each sample.</summary>
    private static IReadOnlyList<Finding> Through(Func<VerifyItem, bool> which, Func<float, float> output, Func<float, float>? other = null, bool absolute = true) =>
        Through(_items.Where(which), output, other, absolute);

    private static IReadOnlyList<Finding> Through(IEnumerable<VerifyItem> items, Func<float, float> output, Func<float, float>? other = null, bool absolute = true, Gear? gear = null)
    {
        var readings = items.SelectMany(item =>
        {
            var played = new float[item.Frames + 1440];
            item.Stimulus?.Render(0, played);
            return Measure.Read(item, [.. played.Select(output)], [.. played.Select(other ?? (_ => 0))]);
        });
        return new Judge(absolute, gear).Findings([.. readings]);
    }

    private static bool IsTone(VerifyItem item) => item.Topic == VerifyTopic.Tone;

    [Fact]
    public void AnOutputThatChangesNothingKeepsEveryLimit()
    {
        var findings = Through(_ => true, sample => sample);

        Assert.DoesNotContain(findings, finding => finding.Verdict == Verdict.Fail);
        var withLevels = _items.Where(item => item.Topic is VerifyTopic.Tone or VerifyTopic.Levels or VerifyTopic.MaskerBand or VerifyTopic.BroadNoise);
        Assert.Equal(withLevels.Sum(item => item.Sounds.Count), findings.Count(finding => finding.Unit == "dB off" && finding.SetDb is not null && finding.Topic != "step between levels"));
    }

    [Fact]
    public void AnOutputThatClipsDistorts()
    {
        var findings = Through(IsTone, sample => Math.Clamp(sample, -0.05f, 0.05f));

        Assert.Contains(findings, finding => finding is { Topic: "harmonic distortion", Verdict: Verdict.Fail });
        Assert.Contains(findings, finding => finding is { Topic: "level", Verdict: Verdict.Fail });
    }

    [Fact]
    public void AnOutputFourDecibelsTooLoudIsOverTheLimitToFourKilohertzOnly()
    {
        var levels = Through(IsTone, sample => sample * 1.585f).Where(finding => finding.Topic == "level").ToList();

        Assert.All(levels.Where(finding => finding.Hertz <= 4000), finding => Assert.Equal(Verdict.Fail, finding.Verdict));
        Assert.All(levels.Where(finding => finding.Hertz > 4000), finding => Assert.Equal(Verdict.Pass, finding.Verdict));
        Assert.All(levels, finding => Assert.Equal(4, finding.Measured!.Value, 0.01));
    }

    [Fact]
    public void OverACableTheLevelIsRelativeAndTheReferenceItselfIsOnlyTold()
    {
        var levels = Through(IsTone, sample => sample * 0.1f, absolute: false).Where(finding => finding.Topic == "level").ToList();

        Assert.All(levels, finding => Assert.Equal(finding.Hertz == 1000 ? Verdict.Told : Verdict.Pass, finding.Verdict));
    }

    [Fact]
    public void CrosstalkOfSixtyDecibelsIsTooMuch()
    {
        var findings = Through(IsTone, sample => sample, other: sample => sample * 0.001f);

        Assert.All(findings.Where(finding => finding.Topic == "crosstalk to the other ear"), finding =>
        {
            Assert.Equal(-60, finding.Measured!.Value, 0.01);
            Assert.Equal(Verdict.Fail, finding.Verdict);
        });
    }

    [Fact]
    public void AnOutputOfSixteenBitsLosesTheQuietTones()
    {
        var findings = Through(item => item.Topic == VerifyTopic.Levels, sample => MathF.Round(sample * 32768) / 32768);

        Assert.Contains(findings, finding => finding is { Topic: "level", SetDb: < -100, Verdict: Verdict.Fail });
    }

    [Fact]
    public void WhatTheNoiseOfTheRecordingHidesIsToldNotJudged()
    {
        var random = new Random(5);
        var findings = Through(item => item.Topic == VerifyTopic.Levels, sample => sample + ((float)(random.NextDouble() - 0.5) * 0.001f));

        Assert.All(findings.Where(finding => finding.SetDb < -105), finding => Assert.Equal(Verdict.Told, finding.Verdict));
        Assert.All(findings.Where(finding => finding.SetDb > -50), finding => Assert.Equal(Verdict.Pass, finding.Verdict));
    }

    [Fact]
    public void AnOutputThatSaysNothingFails() => Assert.Contains(Through(_ => true, _ => 0), finding => finding.Verdict == Verdict.Fail);

    [Fact]
    public void TheFullPlanHasEveryEarFrequencyAndLevel()
    {
        var plan = VerifyPlan.Make(null, quick: false);
        var hertz = AudiometricFrequency.All.Concat(AudiometricFrequency.ExtendedHigh).Select(frequency => (double)frequency.Hertz).ToList();

        foreach (var ear in new[] { Ear.Left, Ear.Right })
        {
            Assert.Equal(hertz, plan.Where(item => item.Topic == VerifyTopic.Tone && item.Ear == ear).Select(item => item.Hertz));
            Assert.All(hertz, one => Assert.Equal(22, plan.Where(item => item.Topic == VerifyTopic.Levels && item.Ear == ear && item.Hertz == one).Sum(item => item.Sounds.Count)));
        }

        Assert.Equal(hertz, plan.Where(item => item.Topic == VerifyTopic.MaskerBand).Select(item => item.Hertz));
        Assert.All(plan, item => Assert.InRange(item.Frames, 1, AudioFormat.FramesOf(Presentation.LongestToneMs)));
        Assert.InRange(VerifyPlan.Length(plan).TotalMinutes, 1, 7);
    }

    [Fact]
    public void AMarkerIsFoundWhereItLiesAndNothingElseIsTakenForIt()
    {
        var random = new Random(6);
        var marker = Enumerable.Range(0, 4800).Select(_ => (float)(random.NextDouble() - 0.5)).ToArray();
        var recording = Enumerable.Range(0, 48_000).Select(_ => 0.01f * (float)(random.NextDouble() - 0.5)).ToArray();
        Assert.Null(LoopAlignment.Find(recording, marker));

        for (var index = 0; index < marker.Length; index++)
        {
            recording[12_345 + index] += 0.3f * marker[index];
        }

        Assert.Equal(12_345, LoopAlignment.Find(recording, marker));
    }

    [Fact]
    public void WithACalibrationOnlyHearingLevelsStandInTheColumnOfSetLevels()
    {
        var gear = new Gear(Provisioner.Kit, Provisioner.Certificate(new DateOnly(2031, 5, 14), expired: false));
        var items = VerifyPlan.Make(gear, quick: true).Where(item => item.Topic is VerifyTopic.Tone or VerifyTopic.Levels).ToList();

        var levels = Through(items, sample => sample, gear: gear).Where(finding => finding.Topic == "level").ToList();

        Assert.Equal(items.Where(IsTone).Sum(item => item.Sounds.Count), levels.Count(finding => finding.SetDb is null));
        Assert.Equal(
            items.Where(item => item.Topic == VerifyTopic.Levels).SelectMany(item => item.Sounds).Select(sound => sound.HearingLevelDb),
            levels.Where(finding => finding.SetDb is not null).Select(finding => finding.SetDb));
    }
}
