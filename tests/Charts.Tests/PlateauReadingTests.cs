using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts.Tests;

/// <summary>
/// Reads curves whose shape is known: worked examples of the two-route model of hearing by air (the tone is heard at the lower of gap + max(bone, masker - attenuation) in the ear under
/// test and attenuation + max(other bone, masker - other gap) in the other; the classical description of undermasking, plateau and overmasking after Hood 1960 and Studebaker 1964, from memory).
/// </summary>
public sealed class PlateauReadingTests
{
    private const double AttenuationDb = 50;

    /// <summary>Sensorineural, 70 dB HL; the other ear 10 dB HL: 60 without a masker, 70 from 20 to 120 dB EM, 80 at 130.</summary>
    [Fact]
    public void AnEarWithoutAGapHasALongPlateau()
    {
        var reading = Read(Curve(testGap: 0, testBone: 70, otherGap: 0, otherBone: 10, 10, 20, 40, 60, 80, 100, 120, 130));

        Assert.Equal((20.0, 120.0, 70.0), Plateau(reading));
        Assert.Equal(PlateauPhase.UnderMasked, reading.PhaseOf(0));
        Assert.Equal(PlateauPhase.OverMasked, reading.PhaseOf(7));
    }

    /// <summary>A dead ear beside a normal one: 60 at 10 dB EM, 70 at 20, 90 at 40, 110 at 60. A rising curve is not a threshold.</summary>
    [Fact]
    public void ADeadEarHasNoPlateau()
    {
        var points = Curve(testGap: 0, testBone: 300, otherGap: 0, otherBone: 0, 10, 20, 40, 60);
        var reading = Read(points);

        Assert.Equal([60, 70, 90, 110], points.Select(point => point.ToneDbHl));
        Assert.False(reading.IsPlateau);
        Assert.Null(reading.Stand);
        Assert.All(points.Index(), pair => Assert.Equal(PlateauPhase.Open, reading.PhaseOf(pair.Index)));
    }

    /// <summary>Conductive, air 60 and bone 5; the other ear 5: 60 from 15 to 55 dB EM, 70 at 65.</summary>
    [Fact]
    public void AConductiveEarHasAShortPlateauThatEndsInARise()
    {
        var reading = Read(Curve(testGap: 55, testBone: 5, otherGap: 0, otherBone: 5, 5, 15, 25, 35, 45, 55, 65));

        Assert.Equal((15.0, 55.0, 60.0), Plateau(reading));
        Assert.Equal(PlateauPhase.OverMasked, reading.PhaseOf(6));
    }

    /// <summary>Air 60 and bone 0 on both sides: 60 at 70 dB EM, 70 at 80, 80 at 90.</summary>
    [Fact]
    public void TwoConductiveEarsHaveNone()
    {
        var points = Curve(testGap: 60, testBone: 0, otherGap: 60, otherBone: 0, 70, 80, 90);

        Assert.Equal([60, 70, 80], points.Select(point => point.ToneDbHl));
        Assert.False(Read(points).IsPlateau);
    }

    [Fact]
    public void TheSlopeInFiveDecibelStepsIsNotTakenForAStand()
    {
        Assert.Null(Read([new(10, 55), new(15, 60)]).Stand);
        Assert.Equal(10, Read([new(10, 55), new(15, 60), new(20, 60)]).Stand?.RiseDb);
        Assert.False(Read([new(10, 55), new(15, 60), new(20, 60)]).IsPlateau);
        Assert.Equal((15.0, 30.0, 60.0), Plateau(Read([new(10, 55), new(15, 60), new(20, 60), new(25, 60), new(30, 60)])));
    }

    [Fact]
    public void TheVerdictDecidesWhatIsAPlateau()
    {
        PlateauPoint[] still = [new(0, 20), new(10, 20), new(20, 20)];

        Assert.True(Read(still).IsPlateau);
        var refused = PlateauReading.Of(Chart(still) with { Verdict = MaskingVerdict.Dilemma });
        Assert.False(refused.IsPlateau);
        Assert.Equal(20, refused.Stand?.RiseDb);
        Assert.Equal((0.0, 10.0, 20.0), Plateau(PlateauReading.Of(Chart(still) with { Verdict = MaskingVerdict.Plateau, FinalDbEm = 10 })));
        Assert.Null(PlateauReading.Of(Chart([]) with { Verdict = MaskingVerdict.Plateau, FinalDbEm = 10 }).Stand);
    }

    [Fact]
    public void ARisingToneIsNeverReadAsAPlateau() =>
        Prop.ForAll(
            Gen.Choose(-10, 60).SelectMany(start => Gen.Choose(2, 12).SelectMany(count => Gen.Elements(5, 10).Select(step => (start, count, step)))).ToArbitrary(),
            slope => !Read([.. Enumerable.Range(0, slope.count).Select(index => new PlateauPoint(slope.start + (index * slope.step), 20 + (index * slope.step)))]).IsPlateau)
        .QuickCheckThrowOnFailure();

    [Fact]
    public void AnyPointsAreReadAndAnyPlateauIsLongAndLevel() =>
        Prop.ForAll(
            Gen.Choose(0, 20).Select(step => step * 5.0).Two().Select(pair => new PlateauPoint(pair.Item1, pair.Item2)).ListOf().ToArbitrary(),
            points =>
            {
                var reading = Read([.. points]);
                if (!reading.IsPlateau)
                {
                    return true;
                }

                var tones = reading.Points.Skip(reading.Stand!.First).Take(reading.Stand.Last - reading.Stand.First + 1).Select(point => point.ToneDbHl).ToList();
                return tones.Max() - tones.Min() <= 5 && reading.Stand.RiseDb >= 15 && tones.Contains(reading.Stand.LevelDbHl);
            })
        .QuickCheckThrowOnFailure();

    private static PlateauPoint[] Curve(double testGap, double testBone, double otherGap, double otherBone, params double[] maskers) =>
    [
        .. maskers.Select(masker => new PlateauPoint(
            masker,
            Math.Min(testGap + Math.Max(testBone, masker - AttenuationDb), AttenuationDb + Math.Max(otherBone, masker - otherGap)))),
    ];

    private static MaskingPlateau Chart(IReadOnlyList<PlateauPoint> points) => new("Masking", Ear.Right, ConductionRoute.Air, 1000, points);

    private static PlateauReading Read(IReadOnlyList<PlateauPoint> points) => PlateauReading.Of(Chart(points));

    private static (double From, double To, double Level) Plateau(PlateauReading reading)
    {
        Assert.True(reading.IsPlateau);
        return (reading.Points[reading.Stand!.First].MaskerDbEm, reading.Points[reading.Stand.Last].MaskerDbEm, reading.Stand.LevelDbHl);
    }
}
