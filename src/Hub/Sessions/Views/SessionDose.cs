using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Views;

/// <summary>The sound dose of a session from what the kit reported to have played. Pure.</summary>
/// <remarks>
/// Counted are trials with a tone, void ones too, and the tones of left/right proofs. A tone that was broken off counts whole: the figure is never too low because of one.
/// A proof that was broken off reports no tones and counts with all it was ordered to play. A masker counts as a tone of its effective level in the other ear, as long as it can have lasted.
/// </remarks>
internal static class SessionDose
{
    /// <summary>How long a masker is on beside its tone, s: at most the longest silence before it and the time for answers after it.</summary>
    private const double MaskerAroundToneSeconds = 4.2;

    public static DoseView Of(SessionState state)
    {
        var kind = state.KitCheck?.Gear?.TransducerKind;
        var dose = SoundDoseMeter.Empty;
        var proofs = new Dictionary<StepId, ProveSidesStep>();
        foreach (var recorded in state.History)
        {
            switch (recorded.Event)
            {
                case TrialTaken { Trial: var trial }:
                    dose = WithTrial(dose, trial, kind);
                    break;
                case StepOrdered { Order: { Request: ProveSidesStep proof } order }:
                    proofs[order.StepId] = proof;
                    break;
                case StepOver { Ending: not StepEnding.Refused } over when proofs.Remove(over.StepId, out var played):
                    dose = WithProof(dose, played, over.Result as SideProofResult, kind);
                    break;
            }
        }

        return new DoseView(dose.RightPercent, dose.LeftPercent);
    }

    /// <summary>How long a tone is on: of a pulsed one the pulses alone.</summary>
    internal static double SecondsOn(double durationMs, ToneShape shape) => double.IsFinite(durationMs) && durationMs > 0
        ? durationMs / 1000 * (shape == ToneShape.Pulsed ? PulsePattern.PulseMs / PulsePattern.PeriodMs : 1)
        : 0;

    // A tone by bone conduction reaches the inner ear without the sound field the figure is about, and counts for nothing.
    private static SoundDoseMeter WithTrial(SoundDoseMeter dose, TrialRecord trial, TransducerKind? kind)
    {
        var sum = trial is { Kind: TrialKind.Tone, Route: ConductionRoute.Air }
            ? Add(dose, trial.Ear, trial.FrequencyHz, trial.LevelDbHl, SecondsOn(trial.DurationMs, trial.Shape), kind)
            : dose;
        return trial.MaskerDbEm is { } masker
            ? Add(sum, trial.Ear.Other(), trial.FrequencyHz, masker, (trial.DurationMs / 1000) + MaskerAroundToneSeconds, kind)
            : sum;
    }

    private static SoundDoseMeter WithProof(SoundDoseMeter dose, ProveSidesStep proof, SideProofResult? result, TransducerKind? kind)
    {
        var seconds = SecondsOn(ProveSidesStep.ToneMs, ToneShape.Pulsed);
        IEnumerable<Ear> sides = result is not null
            ? result.Trials.Select(trial => trial.Played)
            : Enumerable.Repeat(Ear.Right, proof.TrialCount).Concat(Enumerable.Repeat(Ear.Left, proof.TrialCount));
        return sides.Aggregate(dose, (sum, ear) => Add(sum, ear, proof.FrequencyHz, proof.LevelDbHl, seconds, kind));
    }

    private static SoundDoseMeter Add(SoundDoseMeter dose, Ear ear, int hertz, double levelDbHl, double seconds, TransducerKind? kind) =>
        AudiometricFrequency.TryFromHertz(hertz, out var frequency) && double.IsFinite(levelDbHl)
            ? dose.Add(new SoundExposure(ear, DiffuseFieldLevel.OfTone(frequency, HearingLevel.FromDecibels(levelDbHl), SplDb(frequency, levelDbHl, kind)), seconds))
            : dose;

    /// <summary>Sound pressure level in the coupler, which is asked for above 8 kHz alone; there each kind of earphone has one coupler. The largest reference threshold stands in while the kind is not known.</summary>
    private static double SplDb(AudiometricFrequency frequency, double levelDbHl, TransducerKind? kind)
    {
        var kinds = kind is { } known ? [known] : Enum.GetValues<TransducerKind>();
        return levelDbHl + kinds
            .SelectMany(of => ReferenceThresholds.CouplersOf(of).Select(coupler => ReferenceThresholds.Find(of, coupler, frequency)?.RetsplDb ?? 0))
            .DefaultIfEmpty(0)
            .Max();
    }
}
