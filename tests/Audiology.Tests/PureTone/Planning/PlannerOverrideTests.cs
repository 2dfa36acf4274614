using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using static TeleHearing.Audiology.Tests.PureTone.Planning.PlanDriver;

namespace TeleHearing.Audiology.Tests.PureTone.Planning;

/// <summary>What operators decide, and what goes wrong between two measurements.</summary>
public sealed class PlannerOverrideTests
{
    private static readonly PlanPart _rightAir = new(Ear.Right, ConductionRoute.Air, Masked: false);
    private static readonly PlanPart _leftAir = new(Ear.Left, ConductionRoute.Air, Masked: false);

    private readonly PlanDriver _plan = new(ShippedProtocols.Short with { Retest = RetestScope.None, RetestFurther = false, InterOctaves = false });

    [Fact]
    public void APartOrAFrequencyLeftOutIsNoted()
    {
        Override(new PlanOverride.SkipPart(_leftAir), new PlanOverride.SkipFrequency(_rightAir, 8000));
        var end = (PlanStep.Finished)_plan.Run(_ => At(10));

        Assert.Equal("R1000 R2000 R4000 R500", _plan.Written);
        Assert.Contains(end.Notes, note => note.Part == _leftAir && note.FrequencyHz is null);
        Assert.Contains(end.Notes, note => note.Part == _rightAir && note.FrequencyHz == 8000);
    }

    [Fact]
    public void AFrequencyIsAdded()
    {
        Override(new PlanOverride.AddFrequency(_rightAir, 6000), new PlanOverride.AddFrequency(_rightAir, 1234), new PlanOverride.AddFrequency(new PlanPart(Ear.Left, ConductionRoute.Air, true), 500));
        _plan.Run(_ => At(10));

        Assert.Equal("R1000 R2000 R4000 R8000 R500 R6000 L1000 L2000 L4000 L8000 L500 L500m", _plan.Written);
    }

    [Fact]
    public void ARepetitionComesNextAndOnce()
    {
        Measure(3);
        Override(new PlanOverride.Repeat(_rightAir, 2000, MeasurementsBefore: 3));
        _plan.Run(_ => At(10));

        Assert.StartsWith("R2000 R8000 R500 L1000", _plan.Written, StringComparison.Ordinal);
    }

    [Fact]
    public void AnotherTransducerInTheMiddleOfAnEarIsNamedAndNothingIsMixed()
    {
        Measure(2);
        _plan.Context = _plan.Context with { Earphones = TransducerKind.Insert };

        var blocked = Assert.IsType<PlanStep.Blocked>(_plan.Next);

        Assert.Equal((_rightAir, PlanBlockCodes.TransducerChanged), (blocked.Part, blocked.Code));
        Assert.Contains("begun with supra-aural earphones and now insert earphones", blocked.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void TheEarIsFinishedWithTheFirstTransducerOrBegunAgain()
    {
        Measure(2);
        _plan.Context = _plan.Context with { Earphones = TransducerKind.Insert };
        Override(new PlanOverride.BeginAgain(Ear.Right, ConductionRoute.Air, MeasurementsBefore: 2));
        _plan.Run(_ => At(10));

        Assert.StartsWith("R1000 R2000 R4000 R8000 R500 L1000", _plan.Written, StringComparison.Ordinal);
        Assert.All(_plan.Done.Skip(2), one => Assert.Equal(TransducerKind.Insert, one.TransducerKind));
    }

    [Fact]
    public void AnotherTransducerForTheOtherEarIsNoMixing()
    {
        Measure(5);
        _plan.Context = _plan.Context with { Earphones = TransducerKind.Insert };

        Assert.IsType<PlanStep.Finished>(_plan.Run(_ => At(10)));
    }

    [Fact]
    public void MaskingOneEarWithAnotherTransducerThanItsUnmaskedThresholdsIsMixing()
    {
        _plan.Run(step => At(step.Part.Ear == Ear.Right ? 0 : 70), most: 10_000);
        _plan.Done.RemoveAll(one => one.Masking is not null);
        _plan.Context = _plan.Context with { Earphones = TransducerKind.Insert };

        Assert.Equal(PlanBlockCodes.TransducerChanged, Assert.IsType<PlanStep.Blocked>(_plan.Next).Code);
    }

    [Fact]
    public void ExchangedEarsStopThePlanUntilTheSidesAreProved()
    {
        Measure(1);
        var before = _plan.Next;
        _plan.Context = _plan.Context with { EarsSwapped = true };

        Assert.Equal(PlanBlockCodes.EarsSwapped, Assert.IsType<PlanStep.Blocked>(_plan.Next).Code);
        _plan.Context = _plan.Context with { EarsSwapped = false };
        Assert.Equal(before, _plan.Next);
    }

    private void Override(params PlanOverride[] overrides) => _plan.Context = _plan.Context with { Overrides = overrides };

    private void Measure(int count)
    {
        for (var i = 0; i < count; i++)
        {
            _plan.Add((PlanStep.Measure)_plan.Next, At(10));
        }
    }
}
