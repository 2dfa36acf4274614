using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>What a kit can play, from its calibration records.</summary>
/// <remarks>Hub and kit both take it from here, each from the records it holds, so that both leave out the same frequencies.</remarks>
public static class PlayableLevels
{
    private static readonly Ear[] _ears = [Ear.Right, Ear.Left];

    /// <summary>Every ear, route and frequency that is calibrated.</summary>
    /// <param name="earphones">Record of the earphones; without one nothing is known, and the answer is absent.</param>
    /// <param name="vibrator">Record of the bone vibrator; without one nothing can be played by bone.</param>
    public static IReadOnlyList<PlayableLevel>? Of(CalibrationRecord? earphones, CalibrationRecord? vibrator) => earphones is null
        ? null
        : [.. Of(earphones), .. vibrator is null ? [] : Of(vibrator)];

    /// <summary>Whether a frequency of a part can be played.</summary>
    /// <param name="playable">What the kit can play; absent when that is not known, and then everything is taken to be playable.</param>
    /// <param name="part">Part.</param>
    /// <param name="frequencyHz">Frequency in Hz.</param>
    public static bool Reach(IReadOnlyList<PlayableLevel>? playable, PlanPart part, int frequencyHz) =>
        playable is null || playable.Any(one => one.Ear == part.Ear && one.Route == part.Route && one.FrequencyHz == frequencyHz);

    private static IEnumerable<PlayableLevel> Of(CalibrationRecord record) =>
        from route in ReferenceThresholds.RoutesOf(record.TransducerKind)
        from ear in _ears
        from frequency in AudiometricFrequency.Both
        let highest = LevelChain.HighestPlayableDbHl(record, route, ear, frequency)
        where highest >= HearingLevels.LowestPresentedDbHl
        select new PlayableLevel(ear, route, frequency.Hertz, highest.Value);
}
