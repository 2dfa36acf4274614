using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Masking;

/// <summary>Advice followed to the letter on the cases of the two-route model, and its beginning by the classical formulas (Hood 1960; from memory).</summary>
public sealed class MaskingAdviserTests
{
    private static readonly SearchSettings _search = new(StoppingRule.TwoOfThree, -10, 120, null);

    [Fact]
    public void ItBeginsTenDecibelsAboveTheOtherEar()
    {
        var advice = MaskingAdviser.Advise(Case("A", 60, 10, 10), []);

        Assert.Equal((PlateauState.Beginning, 60.0, 20.0), (advice.State, advice.ToneDbHl!.Value, advice.MaskerDbEm!.Value));
        Assert.Contains("20 dB EM", advice.Sentence, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("A", 60, 10, 10, PlateauState.Plateau, 70)]
    [InlineData("C", 55, 5, 5, PlateauState.Plateau, 60)]
    [InlineData("B", 50, 0, 0, PlateauState.NoResponse, null)]
    [InlineData("D", 50, 50, 0, PlateauState.Dilemma, null)]
    public void FollowedToTheLetterItEndsWhereTheModelSays(string letter, double unmasked, double otherAir, double bestBone, PlateauState end, int? threshold)
    {
        var vector = MaskingVector.OfCase(letter);
        var settings = Case(letter, unmasked, otherAir, bestBone);
        if (letter == "B")
        {
            settings = settings with { Search = _search with { MaximumDbHl = 110 } };
        }

        var trials = new List<MaskedTrial>();
        var states = new List<PlateauState>();
        var advice = MaskingAdviser.Advise(settings, trials);
        while (advice is { ToneDbHl: { } tone, MaskerDbEm: { } masker } && advice.State != PlateauState.Plateau)
        {
            Assert.True(trials.Count < 200, "The advice does not end.");
            trials.Add(new MaskedTrial(masker, tone, tone >= vector.Respond(masker).ResponseDbHl));
            advice = MaskingAdviser.Advise(settings, trials);
            states.Add(advice.State);
        }

        Assert.Equal(end, advice.State);
        Assert.Equal(threshold, (int?)advice.ToneDbHl);
        Assert.Equal(end is PlateauState.Dilemma, advice.Remedy is not null);
        if (end == PlateauState.Plateau)
        {
            Assert.Contains(PlateauState.Standing, states);
        }
    }

    [Fact]
    public void OneAnswerDecidesNothing()
    {
        var settings = Case("A", 60, 10, 10);

        var once = MaskingAdviser.Advise(settings, [new(20, 60, true)]);
        var split = MaskingAdviser.Advise(settings, [new(20, 60, true), new(20, 60, false)]);
        var missed = MaskingAdviser.Advise(settings, [new(20, 60, true), new(20, 60, false), new(20, 60, false)]);

        Assert.Equal((PlateauState.Searching, 60.0), (once.State, once.ToneDbHl!.Value));
        Assert.Equal(PlateauState.Searching, split.State);
        Assert.Equal((PlateauState.Rising, 65.0), (missed.State, missed.ToneDbHl!.Value));
    }

    [Fact]
    public void OnePointIsNotCalledARise()
    {
        var settings = Case("A", 60, 10, 10);

        var first = MaskingAdviser.Advise(settings, [new(20, 60, true), new(20, 60, true)]);
        var second = MaskingAdviser.Advise(settings, [new(20, 60, true), new(20, 60, true), new(first.MaskerDbEm!.Value, 65, true), new(first.MaskerDbEm.Value, 65, true)]);

        Assert.Equal((PlateauState.Searching, 1), (first.State, first.Points.Count));
        Assert.Equal((PlateauState.Rising, 2), (second.State, second.Points.Count));
    }

    [Fact]
    public void SettingsComeFromTheAudiogram()
    {
        Measurement[] audiogram =
        [
            new(Ear.Right, ConductionRoute.Air, 500, new ThresholdOutcome.Established(45)),
            new(Ear.Left, ConductionRoute.Air, 500, new ThresholdOutcome.Established(5)),
            new(Ear.Right, ConductionRoute.BoneMastoid, 500, new ThresholdOutcome.Established(5)),
        ];

        var bone = Assert.IsType<PlateauPlan.Ready>(PlateauPlanning.Prepare(
            MaskingRules.AttenuationAndGap, TransducerKind.SupraAural, audiogram, Ear.Right, ConductionRoute.BoneMastoid, 500, _search, 90));

        // Case G: first level 5 + 15 + 10 dB EM; up to 5 + 40 - 5 the masker is safe for the best bone threshold there may be.
        Assert.Equal((15.0, 5.0, true, 40.0), (bone.Settings.OcclusionDb, bone.Settings.BestBoneDbHl!.Value, bone.Settings.OtherAirIsCertain, bone.Settings.OverMaskingFromDbEm!.Value));
        Assert.Equal(20, bone.Settings.InitialDbEm);
        Assert.Equal(30, (bone.Settings with { BestBoneDbHl = 45 }).InitialDbEm);

        var unknown = Assert.IsType<PlateauPlan.NotYet>(PlateauPlanning.Prepare(
            MaskingRules.AttenuationAndGap, TransducerKind.SupraAural, audiogram[..1], Ear.Right, ConductionRoute.Air, 500, _search, 90));
        Assert.Contains("left ear", unknown.Reason, StringComparison.Ordinal);
    }

    private static PlateauSettings Case(string letter, double unmasked, double otherAir, double bestBone) =>
        new(ConductionRoute.Air, unmasked, otherAir, 40, _search) { BestBoneDbHl = bestBone, OtherAirIsCertain = letter != "D" };
}
