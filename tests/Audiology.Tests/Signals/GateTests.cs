using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Audiology.Tests.Signals;

public sealed class GateTests
{
    [Theory]
    [InlineData(ToneShape.Steady)]
    [InlineData(ToneShape.Pulsed)]
    public void ItOpensAndClosesWithoutAStepAndTheSameBackwards(ToneShape shape) => Prop.ForAll(
        Gen.Choose(100, 2500).Zip(Gen.Elements(8000, 44_100, 48_000, 96_000)).ToArbitrary(),
        gate =>
        {
            var gains = Gains(new Gate(shape, gate.Item1, gate.Item2));
            var rampFrames = PulsePattern.RampMs * gate.Item2 / 1000;
            var steps = gains.Zip(gains.Skip(1), (before, after) => Math.Abs(after - before));

            // The steepest place of the raised cosine.
            return gains[0] == 0 && gains[^1] == 0 && gains.Max() == 1 && gains.Min() == 0
                && steps.Max() <= (Math.PI / 2 / rampFrames) + 1e-9
                && gains.SequenceEqual(Enumerable.Reverse(gains));
        }).QuickCheckThrowOnFailure();

    // 100 ms is the shortest sound; a single pulse is cut to it.
    [Theory]
    [InlineData(ToneShape.Steady)]
    [InlineData(ToneShape.Pulsed)]
    public void TheShortestSoundStillHasAPlateau(ToneShape shape) =>
        Assert.True(Gains(new Gate(shape, StimulusSpec.ShortestMs, 48_000)).Count(gain => gain == 1) >= 0.029 * 48_000);

    private static double[] Gains(Gate gate)
    {
        var gains = new double[gate.TotalFrames];
        Array.Fill(gains, 1);
        gate.Apply(0, gains);
        return gains;
    }
}
