using System.Globalization;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Masking;

/// <summary>What a masked measurement came to, in words and as an outcome.</summary>
/// <param name="Outcome">Outcome for the audiogram.</param>
/// <param name="Verdict">What masking came to.</param>
/// <param name="Reason">Why, as a sentence.</param>
/// <param name="Remedy">What would solve it; absent when it is solved.</param>
internal sealed record PlateauConclusion(ThresholdOutcome Outcome, MaskingVerdict Verdict, string Reason, string? Remedy)
{
    private const string DilemmaRemedy =
        "Use insert earphones, which lose more across the head and cover less skull; measure the other ear's bone conduction; or record that it could not be masked.";

    /// <summary>A plateau whose threshold was measured.</summary>
    public static PlateauConclusion Plateau(PlateauSettings settings, ThresholdOutcome outcome, double levelDbHl, double fromDbEm, double toDbEm, bool overMaskedAbove)
    {
        var shift = levelDbHl - settings.UnmaskedDbHl;
        var centrally = shift == MaskingLevels.CentralMaskingDb ? " It lies 5 dB above the unmasked one, which central masking alone can explain." : string.Empty;
        var over = overMaskedAbove
            ? " Louder maskers raised it again: they reached the ear under test."
            : settings.OverMaskingFromDbEm < toDbEm ? " The masker went beyond the level that the bone threshold alone shows to be safe, but the threshold stood." : string.Empty;
        return new PlateauConclusion(
            outcome, MaskingVerdict.Plateau, Say($"The threshold stood at {levelDbHl:0.#} dB HL while the masker rose from {fromDbEm:0.#} to {toDbEm:0.#} dB EM.{centrally}{over}"), null);
    }

    /// <summary>The threshold stood, but nobody knows whether the masker did anything.</summary>
    public static PlateauConclusion MaskerMayDoNothing(PlateauSettings settings, double levelDbHl) => settings.BestBoneDbHl is null
        ? Unsolved(
            MaskingVerdict.Dilemma,
            Say($"Masking dilemma: the threshold stood at {levelDbHl:0.#} dB HL, but the other ear's own threshold is uncertain while bone conduction is not known, so the masker may have lain below it and done nothing."),
            "Measure bone conduction, then mask again.")
        : Unsolved(
            MaskingVerdict.Dilemma,
            Say($"Masking dilemma: the threshold stood at {levelDbHl:0.#} dB HL, but either ear may have answered for the other, so the masker may have lain below the other ear's true threshold and done nothing."),
            DilemmaRemedy);

    /// <summary>The curve found no rest, and the masker may have reached the ear under test.</summary>
    public static PlateauConclusion Dilemma(PlateauSettings settings, double toneDbHl, double maskerDbEm, bool begun) => Unsolved(
        MaskingVerdict.Dilemma,
        begun
            ? Say($"Masking dilemma: up to {maskerDbEm:0.#} dB EM the threshold did not stand still (last at {toneDbHl:0.#} dB HL), and a masker so loud may itself reach the ear under test: what keeps the other ear out masks this one.")
            : Say($"Masking dilemma: the masker would have to begin at {settings.InitialDbEm:0.#} dB EM, above the {settings.MaskerLimitDbEm:0.#} allowed, and one so loud may itself reach the ear under test."),
        settings.BestBoneDbHl is null ? "Measure bone conduction, which shows how loud the masker may be. " + DilemmaRemedy : DilemmaRemedy);

    /// <summary>The masker would have to be louder than allowed.</summary>
    public static PlateauConclusion MaskerAtLimit(PlateauSettings settings, double neededDbEm)
    {
        var byOperator = settings.OperatorLimitDbEm < settings.MaskerMaximumDbEm && neededDbEm <= settings.MaskerMaximumDbEm;
        return Unsolved(
            MaskingVerdict.MaskerAtLimit,
            Say($"The masker would have to reach {neededDbEm:0.#} dB EM; {settings.MaskerLimitDbEm:0.#} is the highest allowed{(byOperator ? " without an operator's decision" : " by the gear")}."),
            byOperator
                ? Say($"An operator may allow up to {settings.MaskerMaximumDbEm:0.#} dB EM after asking the person whether the noise is bearable; otherwise record that it could not be masked.")
                : "Record that it could not be masked, or use insert earphones.");
    }

    /// <summary>Nothing heard at the highest level, with a masker that cannot have reached the ear under test.</summary>
    public static PlateauConclusion NoResponse(double limitDbHl, double maskerDbEm) => new(
        new ThresholdOutcome.NoResponseAtLimit(limitDbHl),
        MaskingVerdict.NoResponse,
        Say($"No response to {limitDbHl:0.#} dB HL, the highest level, with {maskerDbEm:0.#} dB EM in the other ear, which cannot have reached the ear under test."),
        null);

    /// <summary>It did not settle.</summary>
    public static PlateauConclusion NotSettled(string reason, string remedy) => Unsolved(MaskingVerdict.NotSettled, reason, remedy);

    /// <summary>The threshold with a masker came out better than without one, which no masker can do.</summary>
    public static PlateauConclusion BetterThanUnmasked(PlateauSettings settings, double levelDbHl) => NotSettled(
        Say($"With the masker the person responded at {levelDbHl:0.#} dB HL, without it at {settings.UnmaskedDbHl:0.#}: no masker makes an ear hear better, so one of the two is wrong."),
        "Explain the task again and repeat both.");

    /// <summary>The room hides the tone at every level.</summary>
    public static PlateauConclusion RoomTooLoud(double floorDbHl) => NotSettled(
        Say($"The room is too loud to test here: it hides everything below {floorDbHl:0.#} dB HL."),
        "Find a quieter room.");

    private static PlateauConclusion Unsolved(MaskingVerdict verdict, string reason, string remedy) =>
        new(new ThresholdOutcome.NotEstablished(reason), verdict, reason, remedy);

    private static string Say(FormattableString sentence) => sentence.ToString(CultureInfo.InvariantCulture);
}
