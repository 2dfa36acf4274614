using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Audiology.Simulation;
using TeleHearing.Audiology.Simulation.Population;

namespace TeleHearing.Audiology.Tests.Simulation.Population;

/// <summary>
/// A few hundred simulated ears through the whole test, with fixed seeds and wide margins; docs/validation/population.md has ten thousand. Hearing by age from ISO 7029:2017, the
/// standard audiograms of IEC 60118-15, and constructed losses. Published for automated against manual tests on people: SD 6.1 dB (Mahomed 2013, Ear Hear 34:745).
/// </summary>
public sealed class PopulationTests(ITestOutputHelper output)
{
    private static readonly TestProtocol _protocol = ShippedProtocols.DiagnosticWithBone with { MaskingRules = MaskingRules.AttenuationAndGapFromTen.Name };

    [Theory]
    [InlineData(StoppingRule.TwoOfThree)]
    [InlineData(StoppingRule.ThreeOfFive)]
    public void CooperativeListenersAreMeasuredAndMaskedRightly(StoppingRule rule)
    {
        var tally = Run(MannerKind.Cooperative, 250, _protocol with { Rule = rule });

        output.WriteLine($"{rule}: mean {tally.Air.MeanDb:0.00} dB, SD {tally.Air.SdDb:0.00} dB, {tally.EarsToRepeat} of {tally.Ears} to be repeated");
        Assert.InRange(tally.Air.MeanDb, -1, 1);
        Assert.InRange(tally.Air.SdDb, 0, 3);
        Assert.InRange(tally.Air.ShareWithinFive, 0.97, 1);
        Assert.InRange(tally.Air.ShareWithinTen, 0.995, 1);
        Assert.InRange((double)tally.EarsMasked / tally.EarsNeedingMasking, 0.95, 1);
        Assert.InRange(tally.MaskedAir.Errors.ShareWithinTen, 0.97, 1);
        Assert.InRange(tally.MaskedBone.Errors.ShareWithinTen, 0.97, 1);
        Assert.InRange(tally.EarsWithShadow, 0, 4);
        Assert.InRange(tally.EarsToRepeat, 0, 0.04 * tally.Ears);
    }

    [Fact]
    public void EveryConstructedDilemmaIsNamed()
    {
        var tally = new GroupTally(5);
        for (var i = 0; i < 30; i++)
        {
            Add(tally, MannerKind.Cooperative, i, _protocol, HearingKind.Dilemma);
        }

        Assert.InRange(tally.EarsInDilemma, 15, 60);
        Assert.InRange(tally.EarsDilemmaNamed, 0.97 * tally.EarsInDilemma, tally.EarsInDilemma);
    }

    [Theory]
    [InlineData(nameof(MannerKind.PressesWithoutCause))]
    [InlineData(nameof(MannerKind.Inconsistent))]
    public void ListenersWhoCannotBeReliedOnAreSeen(string manner)
    {
        var tally = Run(Enum.Parse<MannerKind>(manner), 60, _protocol);

        Assert.InRange((double)tally.EarsToRepeat / tally.Ears, 0.88, 1);
    }

    [Fact]
    public void TheSameSeedGivesTheSamePersonAndTheSameAnswers()
    {
        IReadOnlyList<Measurement> Once()
        {
            var random = PopulationDraw.Source(5, MannerKind.Cooperative, 3);
            var run = new PersonRun(PopulationDraw.Draw(MannerKind.Cooperative, random), _protocol, random.Next());
            run.Finish();
            return run.Done;
        }

        Assert.Equal(Once().Select(one => one.Outcome), Once().Select(one => one.Outcome));
    }

    [Fact]
    public void AnsweringAllocatesNothing()
    {
        var person = PopulationDraw.Draw(MannerKind.Cooperative, PopulationDraw.Source(1, MannerKind.Cooperative, 1));
        var listener = new TwoRouteListener(person, 1);
        listener.Hear(Ear.Right, ConductionRoute.Air, 4, 40, 30);
        var before = GC.GetAllocatedBytesForCurrentThread();

        for (var i = 0; i < 1000; i++)
        {
            listener.Hear(Ear.Right, ConductionRoute.Air, 4, 40, 30);
            listener.PressesInSilence(1, 2);
        }

        Assert.Equal(before, GC.GetAllocatedBytesForCurrentThread());
    }

    [Fact]
    public void AListenersAnswersFollowThePsychometricFunction()
    {
        // At threshold, P = g + (1 - g - l) / 2 with g the false alarms and l the lapses.
        var rows = new[] { Ear.Right, Ear.Left }.Select(ear => new ListenerThreshold(ear, 1000, 30, null)).ToList();
        var person = PopulationDraw.Given(rows, MannerKind.PressesWithoutCause, new Random(1));
        var listener = new TwoRouteListener(person, 7);
        var heard = Enumerable.Range(0, 20_000).Count(_ => listener.Hear(Ear.Left, ConductionRoute.Air, SimulatedPerson.Place(1000), 30, null).Pressed);

        Assert.Equal(0.2 + ((0.8 - person.Manner.LapseRate) / 2), heard / 20_000.0, 0.015);
    }

    private static GroupTally Run(MannerKind manner, int people, TestProtocol protocol)
    {
        var tally = new GroupTally(5, MaskingRules.AttenuationAndGapFromTen);
        for (var i = 0; i < people; i++)
        {
            Add(tally, manner, i, protocol, kind: null);
        }

        return tally;
    }

    private static void Add(GroupTally tally, MannerKind manner, int index, TestProtocol protocol, HearingKind? kind)
    {
        var random = PopulationDraw.Source(71, manner, index);
        var person = PopulationDraw.Draw(manner, random, kind);
        var run = new PersonRun(person, protocol, random.Next());
        run.Finish();
        tally.Add(person, run.Done);
    }
}
