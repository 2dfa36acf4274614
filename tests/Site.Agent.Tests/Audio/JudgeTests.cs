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

        Assert.DoesNotContain(findings, finding => finding.Verdict == Verdict.NotKept);
        Assert.DoesNotContain(findings, finding => finding.Verdict == Verdict.NotJudged);
        var withLevels = _items.Where(item => item.Topic is VerifyTopic.Tone or VerifyTopic.ToneLevels or VerifyTopic.NoiseLevels or VerifyTopic.MaskerBand);
        Assert.Equal(withLevels.Sum(item => item.Sounds.Count), findings.Count(finding => Topics.IsLevel(finding.Topic)));
        Assert.All(findings, finding => Assert.True(Topics.Place(finding.Topic) >= 0, finding.Topic));
    }

    [Fact]
    public void AnOutputThatClipsDistorts()
    {
        var findings = Through(IsTone, sample => Math.Clamp(sample, -0.05f, 0.05f));

        Assert.Contains(findings, finding => finding is { Topic: "harmonic distortion", Verdict: Verdict.NotKept });
        Assert.Contains(findings, finding => finding is { Topic: "level of the tone", Verdict: Verdict.NotKept });
    }

    [Fact]
    public void AnOutputFourDecibelsTooLoudIsOverTheLimitToFourKilohertzOnly()
    {
        var levels = Through(IsTone, sample => sample * 1.585f).Where(finding => finding.Topic == "level of the tone").ToList();

        Assert.All(levels.Where(finding => finding.Hertz <= 4000), finding => Assert.Equal(Verdict.NotKept, finding.Verdict));
        Assert.All(levels.Where(finding => finding.Hertz > 4000), finding => Assert.Equal(Verdict.Kept, finding.Verdict));
        Assert.All(levels, finding => Assert.Equal(4, finding.Measured!.Value, 0.01));
    }

    [Fact]
    public void OverACableTheLevelIsRelativeAndTheReferenceItselfIsOnlyTold()
    {
        var levels = Through(IsTone, sample => sample * 0.1f, absolute: false).Where(finding => finding.Topic == "level of the tone").ToList();

        Assert.All(levels, finding => Assert.Equal(finding.Hertz == 1000 ? Verdict.NotJudged : Verdict.Kept, finding.Verdict));
    }

    [Fact]
    public void CrosstalkOfSixtyDecibelsIsTooMuch()
    {
        var findings = Through(IsTone, sample => sample, other: sample => sample * 0.001f);

        Assert.All(findings.Where(finding => finding.Topic == "crosstalk to the other ear"), finding =>
        {
            Assert.Equal(-60, finding.Measured!.Value, 0.01);
            Assert.Equal(Verdict.NotKept, finding.Verdict);
        });
    }

    [Fact]
    public void AnOutputOfSixteenBitsLosesTheQuietTones()
    {
        var findings = Through(item => item.Topic == VerifyTopic.ToneLevels, sample => MathF.Round(sample * 32768) / 32768);

        Assert.Contains(findings, finding => finding is { Topic: "level of the tone", SetDb: < -100, Verdict: Verdict.NotKept });
    }

    [Fact]
    public void WhatTheNoiseOfTheRecordingHidesIsToldNotJudged()
    {
        var random = new Random(5);
        var findings = Through(item => item.Topic == VerifyTopic.ToneLevels, sample => sample + ((float)(random.NextDouble() - 0.5) * 0.001f));

        Assert.All(findings.Where(finding => finding.SetDb < -105), finding => Assert.Equal(Verdict.NotJudged, finding.Verdict));
        Assert.All(findings.Where(finding => finding.SetDb > -50), finding => Assert.Equal(Verdict.Kept, finding.Verdict));
    }

    [Fact]
    public void AnOutputThatSaysNothingFails() => Assert.Contains(Through(_ => true, _ => 0), finding => finding.Verdict == Verdict.NotKept);

    [Fact]
    public void ANoiseAtAWrongLevelIsFoundOutAtEveryLevelAndAWarbleIsATone()
    {
        var findings = Through(item => item.Topic == VerifyTopic.NoiseLevels, sample => sample * 0.63f).Where(finding => Topics.IsLevel(finding.Topic)).ToList();

        // 4 dB too quiet: a masker may be 3 dB, a tone above 4 kHz 5 dB
        Assert.All(findings, finding => Assert.Equal(finding is { Topic: "level of the warble tone", Hertz: > 4000 } ? Verdict.Kept : Verdict.NotKept, finding.Verdict));
    }

    [Fact]
    public void ANoiseThatTheRecordingHidesIsNotJudged()
    {
        var random = new Random(8);
        var findings = Through(item => item.Topic == VerifyTopic.NoiseLevels, sample => sample + ((float)(random.NextDouble() - 0.5) * 0.001f)).Where(finding => Topics.IsLevel(finding.Topic)).ToList();

        Assert.All(findings.Where(finding => finding.SetDb < -75), finding => Assert.Equal(Verdict.NotJudged, finding.Verdict));
        Assert.All(findings.Where(finding => finding.SetDb > -55), finding => Assert.Equal(Verdict.Kept, finding.Verdict));
    }

    [Fact]
    public void TheFullPlanHasEverySoundAtEveryEarFrequencyAndLevel()
    {
        var plan = VerifyPlan.Make(null, quick: false);
        var hertz = AudiometricFrequency.Both.Select(frequency => (double)frequency.Hertz).ToList();

        foreach (var ear in new[] { Ear.Left, Ear.Right })
        {
            var here = plan.Where(item => item.Ear == ear).ToList();
            foreach (var topic in new[] { VerifyTopic.Tone, VerifyTopic.Pulses, VerifyTopic.Warble, VerifyTopic.MaskerBand })
            {
                Assert.Equal(hertz, here.Where(item => item.Topic == topic).Select(item => item.Hertz));
            }

            foreach (var (name, levels) in new[] { ("tone", 22), ("pulsed tone", 22), ("warble tone", 22), ("masking noise", 20) })
            {
                Assert.All(hertz, one => Assert.Equal(levels, LevelsOf(here, name, one)));
            }

            Assert.All(new[] { "speech noise", "white noise", "pink noise" }, name => Assert.Equal(20, LevelsOf(here, name, 0)));
        }

        Assert.All(plan, item => Assert.InRange(item.Frames, 1, AudioFormat.FramesOf(Presentation.LongestToneMs)));
        Assert.InRange(VerifyPlan.Length(plan).TotalMinutes, 5, 15);
        Assert.InRange(VerifyPlan.Length(_items).TotalSeconds, 20, 75);
    }

    [Fact]
    public void BothEarsSoundTogetherOnlyWhereTheOtherEarIsNotLookedAt()
    {
        var turns = VerifyTurn.Of(VerifyPlan.Make(null, quick: false));

        Assert.Equal(VerifyPlan.Make(null, quick: false).Count, turns.Sum(turn => turn.Items.Count));
        Assert.All(turns, turn => Assert.Equal(turn.Items[0].Topic is VerifyTopic.Tone or VerifyTopic.Silence ? 1 : 2, turn.Items.Count));
        Assert.All(turns, turn => Assert.Equal(turn.Items.Count, turn.Items.Select(item => item.Ear).Distinct().Count()));
    }

    [Fact]
    public void APulsedLevelIsExactlyOnePulse() =>
        Assert.All(
            _items.Where(item => item is { Topic: VerifyTopic.ToneLevels, Name: "pulsed tone" }).SelectMany(item => item.Sounds),
            sound => Assert.Equal(PulsePattern.PulseMs, AudioFormat.MillisecondsOf(sound.Frames), 0.1));

    private static int LevelsOf(IEnumerable<VerifyItem> items, string name, double hertz) =>
        items.Where(item => item.Topic is VerifyTopic.ToneLevels or VerifyTopic.NoiseLevels && item.Name == name && item.Hertz == hertz).Sum(item => item.Sounds.Count);

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
    public void WithACalibrationEveryTopicHasLevelsOfOneUnit()
    {
        var gear = new Gear(Provisioner.Kit, Provisioner.Certificate(new DateOnly(2031, 5, 14), expired: false));
        var items = VerifyPlan.Make(gear, quick: true);

        var levels = Through(items, sample => sample, gear: gear).Where(finding => Topics.IsLevel(finding.Topic)).ToList();

        Assert.DoesNotContain(levels, finding => finding.Verdict == Verdict.NotKept);
        var units = levels.Where(finding => finding.SetDb is not null).GroupBy(finding => finding.Topic).ToDictionary(group => group.Key, group => Assert.Single(group.Select(finding => finding.SetUnit).Distinct()));
        Assert.Equal(
            new Dictionary<string, string>
            {
                ["level of the tone"] = "dB HL",
                ["level of the pulsed tone"] = "dB HL",
                ["level of the warble tone"] = "dB HL",
                ["level of the masking noise"] = "dB effective masking",
                ["level of the speech noise"] = "dB HL",
                ["level of the white noise"] = "dB of full scale",
                ["level of the pink noise"] = "dB of full scale",
            },
            units);
    }
}
