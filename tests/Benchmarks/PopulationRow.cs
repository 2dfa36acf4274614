using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Simulation.Population;

namespace TeleHearing.Benchmarks;

/// <summary>One line of the result. Shares are in percent; absent where nothing was measured.</summary>
/// <param name="Listeners">How the listeners answer, and their hearing when it is one kind alone.</param>
/// <param name="Ears">Ears.</param>
internal sealed record PopulationRow(string Listeners, int Ears)
{
    /// <summary>Unmasked thresholds by air that the ear answers itself, against the grid: mean error, dB.</summary>
    public double? AirMeanDb { get; init; }

    public double? AirSdDb { get; init; }

    /// <summary>Mean error against the true threshold between the levels of the grid, dB.</summary>
    public double? AirMeanAgainstTruthDb { get; init; }

    public double? AirWithinFive { get; init; }

    public double? AirWithinTen { get; init; }

    /// <summary>Without a threshold.</summary>
    public double? AirNotFound { get; init; }

    public double? BoneMeanDb { get; init; }

    public double? BoneSdDb { get; init; }

    public double? BoneWithinFive { get; init; }

    public double AirPresentations { get; init; }

    public double AirMinutes { get; init; }

    public double Presentations { get; init; }

    public double Minutes { get; init; }

    /// <summary>Silent trials answered.</summary>
    public double? FalseResponses { get; init; }

    public int EarsNeedingMasking { get; init; }

    /// <summary>Ears that need masking of which every threshold that needs it was masked or tried.</summary>
    public double? EarsMasked { get; init; }

    public int EarsWithShadow { get; init; }

    /// <summary>Masked thresholds, and those within 10 dB of the ear's own.</summary>
    public int Masked { get; init; }

    public double? MaskedMeanDb { get; init; }

    public double? MaskedSdDb { get; init; }

    public double? MaskedWithinFive { get; init; }

    public double? MaskedWithinTen { get; init; }

    /// <summary>Masked without cause: the ear would have answered itself.</summary>
    public double? Needless { get; init; }

    /// <summary>Thresholds that need masking and came to one.</summary>
    public double? Solved { get; init; }

    public int Dilemmas { get; init; }

    public int DilemmasNamed { get; init; }

    public int EarsInDilemma { get; init; }

    public int EarsDilemmaNamed { get; init; }

    /// <summary>Ears judged to be measured again.</summary>
    public double? Repeat { get; init; }

    /// <summary>Unmasked errors by 5 dB.</summary>
    public IReadOnlyList<int> Histogram { get; init; } = [];

    public static PopulationRow Of(string listeners, GroupTally tally)
    {
        var masked = new MaskingSum();
        masked.Add(tally.MaskedAir);
        masked.Add(tally.MaskedBone);
        return new PopulationRow(listeners, tally.Ears)
        {
            AirMeanDb = Known(tally.Air.MeanDb),
            AirSdDb = Known(tally.Air.SdDb),
            AirMeanAgainstTruthDb = Known(tally.AirAgainstTruth.MeanDb),
            AirWithinFive = Known(100 * tally.Air.ShareWithinFive),
            AirWithinTen = Known(100 * tally.Air.ShareWithinTen),
            AirNotFound = Known(100 * tally.Air.ShareNotFound),
            BoneMeanDb = Known(tally.Bone.MeanDb),
            BoneSdDb = Known(tally.Bone.SdDb),
            BoneWithinFive = Known(100 * tally.Bone.ShareWithinFive),
            AirPresentations = (double)tally.AirPresentations / tally.Ears,
            AirMinutes = tally.AirSeconds / 60 / tally.Ears,
            Presentations = (double)tally.Presentations / tally.Ears,
            Minutes = tally.Seconds / 60 / tally.Ears,
            FalseResponses = Share(tally.Silent.Responses, tally.Silent.Trials),
            EarsNeedingMasking = tally.EarsNeedingMasking,
            EarsMasked = Share(tally.EarsMasked, tally.EarsNeedingMasking),
            EarsWithShadow = tally.EarsWithShadow,
            Masked = masked.Errors.Count,
            MaskedMeanDb = Known(masked.Errors.MeanDb),
            MaskedSdDb = Known(masked.Errors.SdDb),
            MaskedWithinFive = Known(100 * masked.Errors.ShareWithinFive),
            MaskedWithinTen = Known(100 * masked.Errors.ShareWithinTen),
            Needless = Share(masked.Needless, masked.Masked),
            Solved = Share(masked.NeededSolved, masked.Needed),
            Dilemmas = masked.Dilemmas,
            DilemmasNamed = masked.DilemmasNamed,
            EarsInDilemma = tally.EarsInDilemma,
            EarsDilemmaNamed = tally.EarsDilemmaNamed,
            Repeat = Share(tally.EarsToRepeat, tally.Ears),
            Histogram = tally.Air.Histogram,
        };
    }

    /// <summary>Every line of one method: each kind of listener, the cooperative ones by hearing too. A quick look alone is not judged.</summary>
    public static IReadOnlyList<PopulationRow> Of(PopulationResult result) =>
    [
        .. Rows(result).Select(row => result.Method.Protocol.Method == ThresholdMethod.Estimate ? row with { Repeat = null } : row),
    ];

    private static IEnumerable<PopulationRow> Rows(PopulationResult result) =>
    [
        .. result.Groups.SelectMany(group => group.Manner == MannerKind.Cooperative
            ? group.ByHearing.Select(pair => Of($"  {Words(pair.Key)}", pair.Value)).Prepend(Of(Words(group.Manner), group.All))
            : [Of(Words(group.Manner), group.All)]),
    ];

    private static string Words(MannerKind manner) => manner switch
    {
        MannerKind.Cooperative => "cooperative",
        MannerKind.Inattentive => "lapses 2-5 %",
        MannerKind.PressesWithoutCause => "false alarms 20 %",
        MannerKind.Inconsistent => "inconsistent",
        MannerKind.Slow => "slow",
        _ => "noisy room, air",
    };

    private static string Words(HearingKind hearing) => hearing switch
    {
        HearingKind.Aged => "by age (ISO 7029)",
        HearingKind.Standard => "IEC 60118-15",
        HearingKind.Conductive => "conductive",
        HearingKind.Mixed => "mixed",
        HearingKind.Asymmetric => "asymmetric",
        HearingKind.DeadEar => "one dead ear",
        HearingKind.Dilemma => "dilemma",
        _ => "as the file says",
    };

    private static double? Known(double value) => double.IsFinite(value) ? value : null;

    private static double? Share(long part, long whole) => whole == 0 ? null : 100.0 * part / whole;
}
