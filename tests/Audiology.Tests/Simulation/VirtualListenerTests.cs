using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Audiology.Simulation;
using static TeleHearing.Audiology.Tests.Simulation.Hearing;

namespace TeleHearing.Audiology.Tests.Simulation;

/// <summary>The simulated person hears what was truly sent: faults of level, frequency, side and ramp must show.</summary>
public sealed class VirtualListenerTests
{
    private static readonly AudiometricFrequency _oneKilohertz = AudiometricFrequency.FromHertz(1000);

    // A listener with a spread so small that the threshold is sharp.
    private static readonly Func<VirtualListenerSettings, VirtualListenerSettings> _sharp = settings => settings with { SlopeSdDb = 0.01 };

    [Theory]
    [InlineData(TransducerKind.Insert, Coupler.Iec60318Part4)]
    [InlineData(TransducerKind.Insert, Coupler.Iec60318Part5)]
    [InlineData(TransducerKind.SupraAural, Coupler.Iec60318Part1)]
    [InlineData(TransducerKind.SupraAural, Coupler.Iec60318Part3)]
    [InlineData(TransducerKind.Circumaural, Coupler.Iec60318Part1WithFlatPlate)]
    public void EveryTransducerIsHeardFromTheTrueThresholdOnAtEveryFrequency(TransducerKind kind, Coupler coupler)
    {
        foreach (var frequency in AudiometricFrequency.All)
        {
            var rig = new Rig(Both(40), kind: kind, coupler: coupler, with: _sharp);

            Assert.False(rig.Present(Ear.Left, frequency, HearingLevel.FromDecibels(39.7)), $"{frequency} below");
            Assert.True(rig.Present(Ear.Left, frequency, HearingLevel.FromDecibels(40.3)), $"{frequency} above");
            Assert.Equal(Ear.Left, rig.Listener.LastHeardSide);
        }
    }

    [Theory]
    [InlineData(ToneShape.Steady)]
    [InlineData(ToneShape.Pulsed)]
    public void TheSearchThroughSoundFindsTheThreshold(ToneShape shape)
    {
        var rig = new Rig(Both(42), with: _sharp);

        Assert.Equal(new ThresholdOutcome.Established(45), rig.Search(Ear.Right, _oneKilohertz, Settings(100), seed: 1, shape));
    }

    [Theory]
    [InlineData(10)]
    [InlineData(-10)]
    public void ASynthesisTooLoudOrTooSoftShiftsEveryThresholdByAsMuch(double addedDb)
    {
        foreach (var hertz in new[] { 250, 1000, 8000 })
        {
            var rig = new Rig(Both(42), fault: new Fault { AddedDb = addedDb }, with: _sharp);

            Assert.Equal(new ThresholdOutcome.Established(45 - addedDb), rig.Search(Ear.Left, AudiometricFrequency.FromHertz(hertz), Settings(80), seed: 1));
        }
    }

    [Fact]
    public void AToneOfTheWrongFrequencyIsHeardThroughTheWrongThreshold()
    {
        // Good hearing at 1 kHz, poor at 2 kHz: a synthesis an octave too high makes 1 kHz look poor.
        IReadOnlyList<ListenerThreshold> rows = [.. Both(10).Where(row => row.FrequencyHz <= 1000), .. Both(70).Where(row => row.FrequencyHz >= 2000)];
        var right = new Rig(rows, with: _sharp).Search(Ear.Left, _oneKilohertz, Settings(100), seed: 1);
        var wrong = new Rig(rows, fault: new Fault { FrequencyFactor = 2 }, with: _sharp).Search(Ear.Left, _oneKilohertz, Settings(100), seed: 1);

        Assert.Equal(new ThresholdOutcome.Established(15), right);

        // 70 dB HL at 2 kHz is 81.5 dB SPL, which the level chain believes to be 76 dB HL at 1 kHz (ISO 389-2: 11.5 and 5.5 dB).
        Assert.Equal(new ThresholdOutcome.Established(80), wrong);
    }

    [Fact]
    public void SwappedChannelsSwapTheEars()
    {
        IReadOnlyList<ListenerThreshold> rows = [.. Both(12).Where(row => row.Ear == Ear.Left), .. Both(52).Where(row => row.Ear == Ear.Right)];
        ThresholdOutcome Find(Ear ear, bool swapped) =>
            new Rig(rows, fault: new Fault { SwapChannels = swapped }, with: _sharp).Search(ear, _oneKilohertz, Settings(100), seed: 1);

        Assert.Equal(new ThresholdOutcome.Established(15), Find(Ear.Left, swapped: false));
        Assert.Equal(new ThresholdOutcome.Established(55), Find(Ear.Right, swapped: false));
        Assert.Equal(new ThresholdOutcome.Established(55), Find(Ear.Left, swapped: true));
        Assert.Equal(new ThresholdOutcome.Established(15), Find(Ear.Right, swapped: true));

        var rig = new Rig(Both(10), fault: new Fault { SwapChannels = true });
        rig.Present(Ear.Left, _oneKilohertz, HearingLevel.FromDecibels(50));
        Assert.Equal(Ear.Right, rig.Listener.LastHeardSide);
    }

    [Fact]
    public void AToneWithoutRampsIsHeardAsAClickWhereHearingIsBetter()
    {
        // Steep loss: the tone at 6 kHz is far below threshold, but a click spreads to where hearing is normal. A proper ramp does not.
        IReadOnlyList<ListenerThreshold> rows = [.. Both(5).Where(row => row.FrequencyHz <= 3000), .. Both(95).Where(row => row.FrequencyHz >= 4000)];
        bool Heard(bool noRamps) => new Rig(rows, fault: new Fault { NoRamps = noRamps }, with: _sharp)
            .Present(Ear.Left, AudiometricFrequency.FromHertz(6000), HearingLevel.FromDecibels(85));

        Assert.False(Heard(noRamps: false));
        Assert.True(Heard(noRamps: true));
    }

    [Fact]
    public void AClippedToneIsHeardThroughItsHarmonics()
    {
        // 250 Hz driven 12 dB over full scale: odd harmonics at 750 Hz and above, where hearing is better.
        IReadOnlyList<ListenerThreshold> rows = [.. Both(110).Where(row => row.FrequencyHz <= 500), .. Both(5).Where(row => row.FrequencyHz >= 750)];
        ListenerPress[] Hear(double peak)
        {
            var listener = new VirtualListener(new(rows, TransducerKind.Insert, Coupler.Iec60318Part4, EarphoneOutput.Flat(100), 1) { SlopeSdDb = 0.01 });
            var mono = new float[48_000];
            new ToneSynthesizer(new ToneSpec(250, 1, ToneShape.Steady, 800, 48_000)).Render(0, mono);
            float[] stereo = [.. mono.SelectMany(sample => new[] { (float)(sample * peak), 0f })];
            return [.. listener.Hear(stereo, new float[48_000])];
        }

        Assert.Empty(Hear(0.9));
        Assert.Single(Hear(4));
    }

    [Fact]
    public void AVeryShortToneNeedsMoreLevel()
    {
        // Temporal integration: a tenth of 200 ms or so costs several decibels (handbook value, 10 dB per factor of ten in energy).
        var rig = new Rig(Both(40), with: _sharp);

        Assert.False(rig.Present(Ear.Left, _oneKilohertz, HearingLevel.FromDecibels(42), durationMs: 100));
        Assert.True(rig.Present(Ear.Left, _oneKilohertz, HearingLevel.FromDecibels(42), durationMs: 300));
        Assert.True(rig.Present(Ear.Left, _oneKilohertz, HearingLevel.FromDecibels(48), durationMs: 100));
    }

    [Fact]
    public void WithoutMaskingADeadEarShowsTheShadowOfTheOther()
    {
        // Supra-aural, interaural attenuation 61 dB at 1 kHz (Chaiklin 1967, from memory): a dead right ear looks like 61 dB + the left ear's 2.
        IReadOnlyList<ListenerThreshold> rows = [.. Both(2).Where(row => row.Ear == Ear.Left), .. Both(130).Where(row => row.Ear == Ear.Right)];
        var rig = new Rig(rows, kind: TransducerKind.SupraAural, coupler: Coupler.Iec60318Part1, with: _sharp);

        Assert.Equal(new ThresholdOutcome.Established(65), rig.Search(Ear.Right, _oneKilohertz, Settings(100), seed: 1));
        Assert.Equal(Ear.Left, rig.Listener.LastHeardSide);
    }

    [Fact]
    public void ANoisyRoomRaisesThresholdsUnderTheEarphone()
    {
        // 30 dB over the limit under inserts at 1 kHz: the power sum makes 0 dB HL look like 27.7.
        var noise = VirtualRoom.Shaped([new BandLevel(1000, 23 + 22 + 30)], Rig.SampleRateHz, seed: 3);
        var outcome = new Rig(Both(0), room: noise, with: _sharp).Search(Ear.Left, _oneKilohertz, Settings(100), seed: 1);

        Assert.Equal(new ThresholdOutcome.Established(30), outcome);
        Assert.Equal(new ThresholdOutcome.Established(5), new Rig(Both(0), with: _sharp).Search(Ear.Left, _oneKilohertz, Settings(100), seed: 1));
    }

    [Fact]
    public void AnyBlocksGiveTheSamePresses() => Prop.ForAll(
        Gen.Choose(1, 7000).ToArbitrary(),
        Gen.Choose(0, 1000).ToArbitrary(),
        (blockFrames, seed) => Presses(blockFrames, seed).SequenceEqual(Presses(480, seed))).Check(Config.QuickThrowOnFailure.WithMaxTest(8));

    [Fact]
    public void AnotherSeedGivesOtherPresses()
    {
        Assert.NotEqual(Presses(480, 1), Presses(480, 2));
    }

    [Fact]
    public void AToneNotHeardLeavesNoSide()
    {
        var rig = new Rig(Both(50), with: _sharp);
        rig.Present(Ear.Right, _oneKilohertz, HearingLevel.FromDecibels(70));
        Assert.Equal(Ear.Right, rig.Listener.LastHeardSide);
        rig.Present(Ear.Right, _oneKilohertz, HearingLevel.FromDecibels(30));
        Assert.Null(rig.Listener.LastHeardSide);
    }

    [Fact]
    public void SettingsThatCannotBeUsedAreRefused()
    {
        VirtualListenerSettings good = new(Both(0), TransducerKind.Insert, Coupler.Iec60318Part4, EarphoneOutput.Flat(140), 1);
        VirtualListenerSettings[] wrong =
        [
            good with { Rows = [.. good.Rows.Where(row => row.Ear == Ear.Left)] },
            good with { Coupler = Coupler.Iec60318Part1 },
            good with { Output = [] },
            good with { LapseRate = double.NaN },
            good with { SlopeSdDb = 0 },
        ];

        Assert.All(wrong, settings => Assert.Throws<ArgumentException>(() => new VirtualListener(settings)));
        Assert.Throws<ArgumentException>(() => new VirtualListener(good).Hear(new float[100], new float[100]));
    }

    private static IReadOnlyList<ListenerPress> Presses(int blockFrames, int seed)
    {
        var rig = new Rig(Both(30), seed, blockFrames: blockFrames, with: settings => settings with { FalseAlarmsPerMinute = 20, LapseRate = 0.2 });
        for (var i = 0; i < 6; i++)
        {
            rig.Present(i % 2 == 0 ? Ear.Left : Ear.Right, _oneKilohertz, HearingLevel.FromDecibels(28 + i), shape: i % 3 == 0 ? ToneShape.Pulsed : ToneShape.Steady);
        }

        return rig.Presses;
    }

    private static SearchSettings Settings(double maximum) => new(StoppingRule.TwoOfThree, -10, maximum, null);
}
