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
    public void WhatWasLeftOutIsMeasuredOnceItIsTakenUpAddedOrRepeated()
    {
        Override(new PlanOverride.SkipPart(_leftAir), new PlanOverride.SkipFrequency(_rightAir, 2000), new PlanOverride.SkipFrequency(_rightAir, 4000), new PlanOverride.SkipFrequency(_rightAir, 8000));
        _plan.Run(_ => At(10));
        Override([.. _plan.Context.Overrides, new PlanOverride.TakeUp(_rightAir, 2000), new PlanOverride.AddFrequency(_rightAir, 4000), new PlanOverride.Repeat(_rightAir, 8000, 2), new PlanOverride.AddFrequency(_leftAir, 500)]);
        _plan.Run(_ => At(10));
        Override([.. _plan.Context.Overrides, new PlanOverride.TakeUp(_leftAir, null)]);
        var end = (PlanStep.Finished)_plan.Run(_ => At(10));

        Assert.Equal("R1000 R500 R8000 R2000 R4000 L500 L1000 L2000 L4000 L8000", _plan.Written);
        Assert.DoesNotContain(end.Notes, note => note.Sentence.Contains("operator left", StringComparison.Ordinal));
    }

    [Fact]
    public void WhatStandsLeftOutIsListedByTheDecisionThatCameLast()
    {
        PlanOverride[] decisions =
        [
            new PlanOverride.SkipFrequency(_rightAir, 8000),
            new PlanOverride.SkipFrequency(_leftAir, 500),
            new PlanOverride.SkipPart(_leftAir),
            new PlanOverride.SkipFrequency(_rightAir, 4000),
            new PlanOverride.AddFrequency(_rightAir, 8000),
            new PlanOverride.AddFrequency(_leftAir, 500),
            new PlanOverride.SkipFrequency(_leftAir, 1000),
            new PlanOverride.TakeUp(_leftAir, null),
            new PlanOverride.SkipFrequency(_leftAir, 2000),
            new PlanOverride.Repeat(_rightAir, 4000, 1),
        ];

        Assert.Equal([(_rightAir, 8000)], LeftOut(1));
        Assert.Equal([(_rightAir, 8000), (_leftAir, null)], LeftOut(3));
        Assert.Equal([(_leftAir, null), (_rightAir, 4000)], LeftOut(6));
        Assert.Equal([(_leftAir, null), (_rightAir, 4000), (_leftAir, 1000)], LeftOut(7));
        Assert.Equal([(_rightAir, 4000)], LeftOut(8));
        Assert.Equal([(_leftAir, 2000)], LeftOut(10));
        Assert.False(PlanDecisions.LeaveOut(decisions[..6], _leftAir, 500));
        Assert.True(PlanDecisions.LeaveOut(decisions[..6], _leftAir, 1000));

        IReadOnlyList<(PlanPart, int?)> LeftOut(int count) => PlanDecisions.LeftOut(decisions[..count]);
    }

    [Fact]
    public void APartLeftOutAfterAFrequencyOfItWasAddedIsLeftOut()
    {
        Override(new PlanOverride.AddFrequency(_leftAir, 6000), new PlanOverride.SkipPart(_leftAir));
        _plan.Run(_ => At(10));

        Assert.DoesNotContain('L', _plan.Written);
    }

    [Fact]
    public void TheVibratorStaysWhereItIsUntilThatEarIsDone()
    {
        // Conductive on both sides: every bone threshold must be masked, and the first ear's dilemma could be tried anew once the second ear's bone is known.
        var plan = new PlanDriver(ShippedProtocols.DiagnosticWithBone with { Retest = RetestScope.None, RetestFurther = false, InterOctaves = false });
        plan.Run(step => step.Part.Masked && step.Part.Ear == Ear.Right && step.Part.Route != ConductionRoute.Air ? new ThresholdOutcome.NotEstablished("dilemma") : At(step.Part.Route == ConductionRoute.Air ? 50 : 10));

        var sides = plan.Steps.OfType<PlanStep.ChangeTransducer>().Where(change => change.Part.Route != ConductionRoute.Air).Select(change => change.Part.Ear).ToList();
        Assert.Equal(sides.Distinct(), sides.Take(2));
        Assert.True(sides.Count <= 3, string.Join(' ', sides));
        var left = plan.Steps.OfType<PlanStep.Measure>().Where(step => step.Part.Route != ConductionRoute.Air).Select(step => step.Part).ToList();
        Assert.Equal(left.LastIndexOf(new PlanPart(Ear.Left, ConductionRoute.BoneMastoid, Masked: true)) - left.IndexOf(new PlanPart(Ear.Left, ConductionRoute.BoneMastoid, Masked: false)) + 1, left.Count(part => part.Ear == Ear.Left));
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
