using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using static TeleHearing.Audiology.Tests.PureTone.Planning.PlanDriver;

namespace TeleHearing.Audiology.Tests.PureTone.Planning;

public sealed class AudiogramPlannerTests
{
    private static readonly TestProtocol _firstEar = ShippedProtocols.Standard with { Retest = RetestScope.FirstEar };
    private static CalibrationRecord Certificate(TransducerKind kind, Coupler coupler, IEnumerable<AudiometricFrequency> frequencies) => new(
        "C", "U", "T", kind, coupler, new DateOnly(2026, 1, 1), new DateOnly(2027, 1, 1), "Lab",
        [.. frequencies.SelectMany(frequency => new[] { Ear.Right, Ear.Left }.Select(ear => new CalibrationEntry(ear, frequency.Hertz, 140, 60)))]);

    private static readonly PlanPart _rightAir = new(Ear.Right, ConductionRoute.Air, Masked: false);

    [Fact]
    public void TheOrderIsThatOfTheProtocolWithOneKilohertzAgainAtTheEndOfTheFirstEar()
    {
        // ASHA 2005 (order from memory); the repeat at the end of the first ear: ISO 8253-1:2010, 6.2.3, step 3.
        var plan = new PlanDriver(_firstEar);

        var end = Assert.IsType<PlanStep.Finished>(plan.Run(_ => At(10)));

        Assert.Equal("R1000 R2000 R3000 R4000 R6000 R8000 R500 R250 R1000 L1000 L2000 L3000 L4000 L6000 L8000 L500 L250", plan.Written);
        Assert.DoesNotContain(end.Notes, note => !note.Sentence.StartsWith("Provisional", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(EarOrder.BetterFirst, null, 'R')]
    [InlineData(EarOrder.BetterFirst, Ear.Left, 'L')]
    [InlineData(EarOrder.RightFirst, Ear.Left, 'R')]
    [InlineData(EarOrder.LeftFirst, null, 'L')]
    public void TheFirstEarIsTheBetterOneOrTheOneOfTheProtocol(EarOrder order, Ear? better, char first)
    {
        // ASHA 2005, from memory: the better ear, the right one when neither is known to be better.
        var plan = new PlanDriver(_firstEar with { EarOrder = order });
        plan.Context = plan.Context with { BetterEar = better };
        plan.Run(_ => At(10));

        Assert.Equal(first, plan.Written[0]);
    }

    [Fact]
    public void AChangeOfTenAtOneKilohertzIsFollowedInTheSameOrderUntilOneAgrees()
    {
        // ISO 8253-1:2010, 6.2.3, step 3. 1000 Hz changes by 10, 2000 by 10, 3000 by 5.
        var plan = new PlanDriver(_firstEar);
        plan.Run(step => At(step.Purpose switch
        {
            MeasurePurpose.Retest => 20,
            MeasurePurpose.FurtherRetest => step.FrequencyHz == 2000 ? 20 : 15,
            _ => 10,
        }));

        Assert.Contains("R250 R1000 R2000 R3000 L1000", plan.Written, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(15)]
    [InlineData(5)]
    public void AChangeOfFiveIsFollowedByNothing(double retest)
    {
        var plan = new PlanDriver(_firstEar);
        plan.Run(step => At(step.Purpose == MeasurePurpose.Retest ? retest : 10));

        Assert.DoesNotContain(plan.Steps, step => step is PlanStep.Measure { Purpose: MeasurePurpose.FurtherRetest });
    }

    [Fact]
    public void ChangesWithoutEndEndWithTheListOfFrequencies()
    {
        var plan = new PlanDriver(_firstEar with { InterOctaves = false, LowExtension = false });
        plan.Run(step => At(step.Purpose is MeasurePurpose.Retest or MeasurePurpose.FurtherRetest ? 40 : 10));

        Assert.Contains("R1000 R2000 R3000 R4000 R6000 R8000 R500 R250 L1000", plan.Written, StringComparison.Ordinal);
    }

    [Fact]
    public void FrequenciesBetweenOctavesTwentyApartAreAdded()
    {
        // ANSI S3.21: adjacent octaves that differ by 20 dB or more.
        var plan = new PlanDriver(_firstEar with { AirHz = [1000, 2000, 4000, 8000, 500], LowExtension = false });
        plan.Run(step => At(step.FrequencyHz switch { >= 4000 => 60, >= 2000 => 30, _ => 10 }));

        Assert.StartsWith("R1000 R2000 R4000 R8000 R500 R1500 R3000 R1000 L1000", plan.Written, StringComparison.Ordinal);
    }

    [Fact]
    public void ALowFrequencyLossAddsOneHundredAndTwentyFiveHertz()
    {
        // ASHA 2005: 125 Hz with a low-frequency loss; from 25 dB HL on is a choice of this tool.
        var plan = new PlanDriver(_firstEar);
        plan.Run(step => At(step.Part.Ear == Ear.Right && step.FrequencyHz <= 250 ? 25 : 20));

        Assert.Contains("R250 R125 R1000", plan.Written, StringComparison.Ordinal);

        // The other ear has no such loss; it is measured there for no other reason than to compare, since some heads lose little more than 30 dB at 125 Hz.
        var left = Assert.Single(plan.Steps.OfType<PlanStep.Measure>(), step => step.FrequencyHz == 125 && step.Part.Ear == Ear.Left);
        Assert.Equal(MeasurePurpose.ForComparison, left.Purpose);
    }

    [Fact]
    public void WhatIsNotEstablishedIsTriedOnceMoreAfterInstructionAndThenNoted()
    {
        var plan = new PlanDriver(_firstEar);
        var end = (PlanStep.Finished)plan.Run(step => step.FrequencyHz == 3000 && step.Part.Ear == Ear.Right ? new ThresholdOutcome.NotEstablished("It did not settle.") : At(10));

        Assert.Contains("R2000 R3000 R3000 R4000", plan.Written, StringComparison.Ordinal);
        Assert.Contains(plan.Steps, step => step is PlanStep.Measure { Purpose: MeasurePurpose.AfterInstruction, FrequencyHz: 3000 });
        Assert.Contains(end.Notes, note => note.FrequencyHz == 3000 && note.Sentence.Contains("did not settle", StringComparison.Ordinal));
    }

    [Fact]
    public void APartIsGivenUpWhenThreeFrequenciesInARowCameToNothing()
    {
        var plan = new PlanDriver(ShippedProtocols.DiagnosticWithBone);
        var end = (PlanStep.Finished)plan.Run(_ => new ThresholdOutcome.NotEstablished("Always answers."));

        Assert.Equal("R1000 R1000 R2000 R2000 R3000 R3000 L1000 L1000 L2000 L2000 L3000 L3000", plan.Written);
        Assert.Contains(end.Notes, note => note.FrequencyHz is null && note.Sentence.StartsWith("Given up", StringComparison.Ordinal));
        Assert.All(plan.Done, one => Assert.IsType<ThresholdOutcome.NotEstablished>(one.Outcome));
    }

    [Fact]
    public void BoneFollowsAirWithTheVibratorMovedFromEarToEar()
    {
        var plan = new PlanDriver(ShippedProtocols.DiagnosticWithBone with { Retest = RetestScope.None, RetestFurther = false, AirHz = [1000, 500], BoneHz = [1000, 500], InterOctaves = false, LowExtension = false });
        plan.Run(_ => At(10));

        Assert.Equal("R1000 R500 L1000 L500 R1000b R500b L1000b L500b", plan.Written);
        Assert.Equal(2, plan.Steps.OfType<PlanStep.ChangeTransducer>().Count());
    }

    [Fact]
    public void OnTheForeheadTheGearIsChangedForTheOtherEarsMaskerToo()
    {
        // Bone always masked: the vibrator stays on the forehead, but vibrator and masking earphone change their plugs (docs/decisions/0023).
        var plan = new PlanDriver(ShippedProtocols.Standard with
        {
            Bone = BonePlacement.Forehead, BoneHz = [1000], AirHz = [1000], MaskingRules = "bone-always", Retest = RetestScope.None, RetestFurther = false, InterOctaves = false, LowExtension = false,
        });
        plan.Run(_ => At(10));

        Assert.Equal("R1000 L1000 R1000b R1000bm L1000bm", plan.Written);
        Assert.Equal([Ear.Right, Ear.Left], plan.Steps.OfType<PlanStep.ChangeTransducer>().Select(change => change.Part.Ear));
        Assert.Contains("earphone for the masker on the right ear", plan.Steps.OfType<PlanStep.ChangeTransducer>().Last().Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void MaskedThresholdsFollowWhereTheRulesAskForThemAndTheRestOnceBoneIsKnown()
    {
        // Right ear 10 by air and bone; left ear 60 by air, bone 10 without a masker: from 40 dB on by air, and 15 dB of gap by bone, both are masked.
        var plan = new PlanDriver(ShippedProtocols.DiagnosticWithBone with { Retest = RetestScope.None, RetestFurther = false, AirHz = [1000, 500], BoneHz = [1000, 500], InterOctaves = false, LowExtension = false });
        plan.Run(step => At(step.Part is { Ear: Ear.Left, Route: ConductionRoute.Air } ? 60 : step.Part is { Ear: Ear.Left, Masked: true } ? 55 : 10));

        Assert.Equal("R1000 R500 L1000 L500 L1000m L500m R1000b R500b L1000b L500b L1000bm L500bm", plan.Written);
    }

    [Fact]
    public void AirIsMaskedAfterBoneWhenOnlyTheBoneThresholdShowsTheNeed()
    {
        // Both ears 45 by air with bone at 0: 0 dB between the ears by air, but 45 dB above the other ear's bone threshold.
        var plan = new PlanDriver(ShippedProtocols.DiagnosticWithBone with { Retest = RetestScope.None, RetestFurther = false, AirHz = [1000], BoneHz = [1000], InterOctaves = false, LowExtension = false });
        plan.Run(step => At(step.Part.Route == ConductionRoute.Air ? 45 : 0));

        Assert.Equal("R1000 L1000 R1000b R1000bm L1000b L1000bm R1000m L1000m", plan.Written);
    }

    [Fact]
    public void WithoutBoneConductionTheNeedOfMaskingIsNotedAsProvisional()
    {
        var plan = new PlanDriver(_firstEar);
        var end = (PlanStep.Finished)plan.Run(_ => At(45));

        Assert.Contains(end.Notes, note => note.Part == new PlanPart(Ear.Right, ConductionRoute.Air, true) && note.Sentence.StartsWith("Provisional.", StringComparison.Ordinal));
    }

    [Fact]
    public void ADilemmaIsNotTriedAgainUntilBoneIsKnownAndThenNoted()
    {
        var plan = new PlanDriver(ShippedProtocols.DiagnosticWithBone with { Retest = RetestScope.None, RetestFurther = false, AirHz = [1000], BoneHz = [1000], InterOctaves = false, LowExtension = false });
        var end = (PlanStep.Finished)plan.Run(step => step.Part.Masked ? new ThresholdOutcome.NotEstablished("Could not be masked.") : At(step.Part is { Ear: Ear.Left, Route: ConductionRoute.Air } ? 60 : 5));

        Assert.Equal("R1000 L1000 L1000m R1000b L1000b L1000bm L1000m", plan.Written);
        Assert.Contains(end.Notes, note => note.Part.Masked && note.Part.Ear == Ear.Left && note.FrequencyHz == 1000);
    }

    [Fact]
    public void ExtendedHighFrequenciesComeLastAndAskForEarphonesThatReachThem()
    {
        var plan = new PlanDriver(ShippedProtocols.ExtendedHigh with { AirHz = [1000, 500], ExtendedHighHz = [9000, 16_000], Retest = RetestScope.None, RetestFurther = false, InterOctaves = false, LowExtension = false });
        plan.Run(_ => At(10));

        Assert.Equal("R1000 R500 L1000 L500 R9000 R16000 L9000 L16000", plan.Written);
        Assert.Contains("ISO 389-5", Assert.Single(plan.Steps.OfType<PlanStep.ChangeTransducer>()).Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void TheQuickLookGivesTheStartingLevelsAndNeverAThreshold()
    {
        var plan = new PlanDriver(ShippedProtocols.Short with { QuickLookFirst = true, Retest = RetestScope.None, RetestFurther = false, InterOctaves = false });
        plan.Run(step => At(step.Purpose == MeasurePurpose.QuickLook ? 22 : 25));

        Assert.StartsWith("R1000 R2000 R4000 R8000 R500 R1000 R2000", plan.Written, StringComparison.Ordinal);
        Assert.All(plan.Steps.OfType<PlanStep.Measure>().Where(step => step.Purpose == MeasurePurpose.Planned), step => Assert.Equal(35, step.StartDbHl));
    }

    [Fact]
    public void AFrequencyTheGearCannotPlayIsNotedAndLeftOut()
    {
        var plan = new PlanDriver(_firstEar with { AirHz = [1000, 8000], InterOctaves = false, LowExtension = false });
        plan.Context = plan.Context with { Playable = [new(Ear.Right, ConductionRoute.Air, 1000, 100), new(Ear.Left, ConductionRoute.Air, 1000, 100), new(Ear.Left, ConductionRoute.Air, 8000, 90)] };
        var end = (PlanStep.Finished)plan.Run(_ => At(10));

        Assert.Equal("R1000 R1000 L1000 L8000", plan.Written);
        Assert.Equal("The right ear by air, unmasked: 8000 Hz left out, because this kit is not calibrated there.", Assert.Single(end.Notes, note => note.Part == _rightAir && note.FrequencyHz == 8000).Sentence);
        Assert.DoesNotContain(end.Notes, note => note.Part == _rightAir with { Ear = Ear.Left } && note.FrequencyHz == 8000);
    }

    [Fact]
    public void WhatACertificateDoesNotCoverIsLeftOutFromTheBeginningWithOneNoteAPart()
    {
        // Circumaural earphones reach 16 kHz (ISO 389-5), but this certificate ends at 8 kHz and has no point at 125 Hz.
        var record = Certificate(TransducerKind.Circumaural, Coupler.Iec60318Part1WithFlatPlate, AudiometricFrequency.All.Where(frequency => frequency.Hertz > 125));
        var protocol = ShippedProtocols.ExtendedHigh with { AirHz = [1000, 250], Retest = RetestScope.None, RetestFurther = false, InterOctaves = false, LowExtension = true };
        var plan = new PlanDriver(protocol);
        plan.Context = new PlanContext(TransducerKind.Circumaural) { Playable = PlayableLevels.Of(record, vibrator: null) };

        var first = Assert.Single(AudiogramPlanner.NotPlayable(protocol, [], plan.Context), note => note.Part == _rightAir);
        Assert.Equal("The right ear by air, unmasked: 9000, 10000, 11200, 12500, 14000, 16000 Hz left out, because this kit is not calibrated there.", first.Sentence);
        var end = (PlanStep.Finished)plan.Run(step => At(step.FrequencyHz == 250 ? 40 : 10));

        // 250 Hz calls for 125 Hz, which cannot be played either.
        Assert.Equal("R1000 R250 L1000 L250", plan.Written);
        Assert.Contains(end.Notes, note => note.Part == _rightAir && note.Sentence.Contains(": 125, 9000,", StringComparison.Ordinal));
        Assert.DoesNotContain(plan.Steps, step => step is PlanStep.ChangeTransducer);
    }

    [Fact]
    public void WithoutAVibratorBoneIsLeftOutAndAirIsMaskedWithoutWaitingForIt()
    {
        // Right 45, left 85 dB HL: the left ear needs a masker, but whether the right ear's 45 is its own is better seen by bone first, where bone is to come.
        var protocol = ShippedProtocols.DiagnosticWithBone with { Retest = RetestScope.None, RetestFurther = false, AirHz = [1000], BoneHz = [1000], InterOctaves = false, LowExtension = false };
        var plan = new PlanDriver(protocol);
        plan.Context = plan.Context with { Playable = PlayableLevels.Of(Certificate(TransducerKind.SupraAural, Coupler.Iec60318Part3, AudiometricFrequency.All), vibrator: null) };

        static ThresholdOutcome Person(PlanStep.Measure step) => At(step.Part.Ear == Ear.Right ? 45 : 85);
        var end = (PlanStep.Finished)plan.Run(Person);

        Assert.Equal("R1000 L1000 L1000m", plan.Written);
        var withVibrator = new PlanDriver(protocol);
        withVibrator.Run(Person);
        Assert.StartsWith("R1000 L1000 R1000b", withVibrator.Written, StringComparison.Ordinal);
        Assert.Equal(2, end.Notes.Count(note => note.Sentence.EndsWith("is left out: this kit has no bone vibrator with a calibration.", StringComparison.Ordinal)));
    }

    [Fact]
    public void AVibratorIsPlayableOnMastoidAndForeheadWhereItHasReferenceThresholds()
    {
        var air = Certificate(TransducerKind.SupraAural, Coupler.Iec60318Part3, AudiometricFrequency.All);
        var bone = Certificate(TransducerKind.BoneVibrator, Coupler.Iec60318Part6, BoneFrequencies.Tested);

        var playable = PlayableLevels.Of(air, bone)!;

        Assert.Null(PlayableLevels.Of(null, bone));
        Assert.Equal(2 * AudiometricFrequency.All.Count, playable.Count(one => one.Route == ConductionRoute.Air));
        Assert.Equal(2 * BoneFrequencies.Tested.Count, playable.Count(one => one.Route == ConductionRoute.BoneMastoid));
        Assert.All(playable, one => Assert.InRange(one.HighestDbHl, HearingLevels.LowestPresentedDbHl, 60));
    }

    [Fact]
    public void AProtocolThatContradictsItselfIsRefused()
    {
        Assert.Throws<ArgumentException>(() => AudiogramPlanner.Next(_firstEar with { AirHz = [500] }, [], new PlanContext(TransducerKind.Insert)));
    }
}
