using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Measures one threshold by the plateau, within what this kit can mask with.</summary>
internal sealed class MaskedSettings(StepContext context)
{
    /// <summary>Runs it.</summary>
    /// <param name="run">The trials.</param>
    /// <param name="rules">Rules that bound the masker.</param>
    /// <param name="audiogram">Everything measured so far.</param>
    /// <param name="ear">Ear under test.</param>
    /// <param name="route">Route of the tone.</param>
    /// <param name="frequency">Frequency.</param>
    /// <param name="search">Limits of the tone.</param>
    /// <param name="stepDb">Step of the masker, dB.</param>
    public async Task<(ThresholdOutcome Outcome, MaskingEvidence Evidence)> RunAsync(
        ThresholdRun run,
        MaskingRules rules,
        IReadOnlyList<Measurement> audiogram,
        Ear ear,
        ConductionRoute route,
        AudiometricFrequency frequency,
        SearchSettings search,
        double stepDb)
    {
        var other = ear.Other();
        var kind = context.Ceilings.Gear.Kit.TransducerKind;
        if (HighestMaskerDbEm(context.Order, other, frequency) is not { } highest || HighestMaskerDbEm(context.Order with { MaximumLevelDbHl = double.PositiveInfinity }, other, frequency) is not { } ofTheGear)
        {
            return NotBegun($"This kit cannot mask the {(other == Ear.Left ? "left" : "right")} ear at {frequency}.", "Test it with gear that has a calibrated masker there.");
        }

        switch (PlateauPlanning.Prepare(rules, kind, audiogram, ear, route, frequency.Hertz, search, ofTheGear))
        {
            case PlateauPlan.Ready { Settings: var settings }:
                var plateau = new PlateauSearch(settings with { StepDb = stepDb, OperatorLimitDbEm = highest }, context.Random);
                var outcome = await run.ToEndAsync(plateau);
                return (outcome, plateau.Evidence ?? throw new InvalidOperationException("A finished plateau has its evidence."));
            case PlateauPlan.NotYet notYet:
                return NotBegun(notYet.Reason, notYet.Remedy);
            default:
                throw new InvalidOperationException("A plateau can either begin or not.");
        }
    }

    /// <summary>The highest masker this kit may play in an ear under an order; absent when none. Above <see cref="MaskingLevels.LoudAboveDbEm"/> only what the clinician has confirmed with it.</summary>
    private double? HighestMaskerDbEm(StepOrder order, Ear ear, AudiometricFrequency frequency)
    {
        for (var level = HearingLevels.LoudAboveDbHl; level >= HearingLevels.LowestPresentedDbHl; level -= HearingLevels.StepDb)
        {
            // Too steep a rise is no limit: the run brings the masker up in steps.
            if (context.Ceilings.CheckMasker(order, ear, frequency, level).Refusal is null or { Code: RefusalCodes.RiseTooSteep })
            {
                return level;
            }
        }

        return null;
    }

    private static (ThresholdOutcome, MaskingEvidence) NotBegun(string reason, string remedy) =>
        (new ThresholdOutcome.NotEstablished($"{reason} {remedy}"), new MaskingEvidence(0, 0, [], MaskingVerdict.NotSettled, reason) { Remedy = remedy });
}
