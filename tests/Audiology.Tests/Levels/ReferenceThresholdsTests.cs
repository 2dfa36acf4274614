using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Levels;

/// <summary>Against the printed columns of ISO 389-1, ISO 389-2 and ISO 389-8, 125 Hz to 8 kHz.</summary>
public sealed class ReferenceThresholdsTests
{
    public static TheoryData<TransducerKind, Coupler, double[]> Columns => new()
    {
        // ISO 389-1; 750, 1500, 3000 and 6000 Hz on 60318-3 from memory.
        { TransducerKind.SupraAural, Coupler.Iec60318Part3, [45.0, 25.5, 11.5, 8.0, 7.0, 6.5, 9.0, 10.0, 9.5, 15.5, 13.0] },
        { TransducerKind.SupraAural, Coupler.Iec60318Part1, [45.0, 27.0, 13.5, 9.0, 7.5, 7.5, 9.0, 11.5, 12.0, 16.0, 15.5] },

        // ISO 389-2; 750, 1500, 3000 and 6000 Hz on 60318-5 from memory.
        { TransducerKind.Insert, Coupler.Iec60318Part4, [28.0, 17.5, 9.5, 6.0, 5.5, 9.5, 11.5, 13.0, 15.0, 16.0, 15.5] },
        { TransducerKind.Insert, Coupler.Iec60318Part5, [26.0, 14.0, 5.5, 2.0, 0.0, 2.0, 3.0, 3.5, 5.5, 2.0, 0.0] },

        // ISO 389-8.
        { TransducerKind.Circumaural, Coupler.Iec60318Part1WithFlatPlate, [30.5, 18.0, 11.0, 6.0, 5.5, 5.5, 4.5, 2.5, 9.5, 17.0, 17.5] },
    };

    [Theory]
    [MemberData(nameof(Columns))]
    public void EveryColumnOfTheStandardsIsThere(TransducerKind kind, Coupler coupler, double[] splDb)
    {
        Assert.Equal(splDb, AudiometricFrequency.All.Select(frequency => ReferenceThresholds.Get(kind, coupler, frequency)));
    }

    [Theory]
    [MemberData(nameof(Columns))]
    public void TheSimulatedPersonKnowsTheSameColumnsFromItsOwnCopy(TransducerKind kind, Coupler coupler, double[] splDb)
    {
        var zero = AuditoryZero.Curve(kind, coupler);

        Assert.Equal(splDb, AudiometricFrequency.All.Select(frequency => Math.Round(zero.At(frequency.Hertz), 9)));
    }

    [Fact]
    public void InsertEarphonesDifferBetweenTheirCouplers()
    {
        double Difference(int hertz) =>
            ReferenceThresholds.Get(TransducerKind.Insert, Coupler.Iec60318Part4, AudiometricFrequency.FromHertz(hertz))
            - ReferenceThresholds.Get(TransducerKind.Insert, Coupler.Iec60318Part5, AudiometricFrequency.FromHertz(hertz));

        // ISO 389-2: 5.5 dB at 1 kHz and 15.5 dB at 8 kHz.
        Assert.Equal(5.5, Difference(1000));
        Assert.Equal(15.5, Difference(8000));
    }

    // ISO 389-5:2006, confirmed.
    [Theory]
    [InlineData(TransducerKind.Circumaural, Coupler.Iec60318Part1WithFlatPlate, new[] { 19, 22, 23, 27.5, 35, 56 })]
    [InlineData(TransducerKind.HighFrequencyInsert, Coupler.Iec60318Part4, new[] { 16, 20, 30.5, 37, 43.5, 53 })]
    public void TheExtendedHighFrequenciesAreThere(TransducerKind kind, Coupler coupler, double[] splDb)
    {
        var found = AudiometricFrequency.ExtendedHigh.Select(frequency => ReferenceThresholds.Find(kind, coupler, frequency)!).ToList();

        Assert.Equal(splDb, found.Select(threshold => threshold.RetsplDb));
        Assert.All(found, threshold => Assert.Equal((ValueStatus.Confirmed, "ISO 389-5"), (threshold.Status, threshold.Standard)));
        Assert.DoesNotContain(AudiometricFrequency.ExtendedHigh, frequency => ReferenceThresholds.TryGet(TransducerKind.Insert, Coupler.Iec60318Part4, frequency, out _));
        Assert.DoesNotContain(AudiometricFrequency.ExtendedHigh, frequency => ReferenceThresholds.TryGet(TransducerKind.SupraAural, Coupler.Iec60318Part1, frequency, out _));
    }

    [Fact]
    public void TheTwoKindsOfInsertEarphoneAreNotTheSameAtEightKilohertz()
    {
        double At8000(TransducerKind kind) => ReferenceThresholds.Get(kind, Coupler.Iec60318Part4, AudiometricFrequency.FromHertz(8000));

        // ISO 389-2: 15.5; ISO 389-5: 19.
        Assert.Equal(15.5, At8000(TransducerKind.Insert));
        Assert.Equal(19, At8000(TransducerKind.HighFrequencyInsert));
    }

    [Fact]
    public void OnlyPairsOfTheStandardsAreTabulated()
    {
        var pairs =
            from kind in Enum.GetValues<TransducerKind>()
            from coupler in Enum.GetValues<Coupler>()
            from frequency in kind switch
            {
                TransducerKind.HighFrequencyInsert => AudiometricFrequency.All.TakeLast(1).Concat(AudiometricFrequency.ExtendedHigh),
                TransducerKind.BoneVibrator => AudiometricFrequency.All.Skip(1),
                _ => AudiometricFrequency.All,
            }
            select (Known: ReferenceThresholds.CouplersOf(kind).Contains(coupler), Found: ReferenceThresholds.TryGet(kind, coupler, frequency, out _));

        Assert.All(pairs, pair => Assert.Equal(pair.Known, pair.Found));
        Assert.Throws<ArgumentException>(() => ReferenceThresholds.Get(TransducerKind.Insert, Coupler.Iec60318Part3, AudiometricFrequency.All[0]));
    }

    [Fact]
    public void ValuesFromMemorySaySo()
    {
        ValueStatus Status(Coupler coupler, int hertz, TransducerKind kind = TransducerKind.SupraAural) =>
            ReferenceThresholds.Find(kind, coupler, AudiometricFrequency.FromHertz(hertz))!.Status;

        Assert.Equal(ValueStatus.FromMemory, Status(Coupler.Iec60318Part3, 750));
        Assert.Equal(ValueStatus.Confirmed, Status(Coupler.Iec60318Part3, 1000));
        Assert.Equal(ValueStatus.Confirmed, Status(Coupler.Iec60318Part1, 750));
        Assert.Equal(ValueStatus.FromMemory, Status(Coupler.Iec60318Part5, 6000, TransducerKind.Insert));
        Assert.Equal(ValueStatus.Confirmed, Status(Coupler.Iec60318Part1WithFlatPlate, 6000, TransducerKind.Circumaural));
    }

    [Fact]
    public void AFrequencyThatWasNeverMadeHasNoReferenceThreshold()
    {
        Assert.False(ReferenceThresholds.TryGet(TransducerKind.Insert, Coupler.Iec60318Part4, default, out var retspl));
        Assert.Equal(0, retspl);
    }
}
