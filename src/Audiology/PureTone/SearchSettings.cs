namespace TeleHearing.Audiology.PureTone;

/// <summary>How a threshold search goes about its work. Levels in dB HL.</summary>
/// <param name="Rule">Stopping rule.</param>
/// <param name="MinimumDbHl">Lowest level that may be presented; never below -10 dB HL.</param>
/// <param name="MaximumDbHl">Highest level that may be presented.</param>
/// <param name="RoomBoundDbHl">Lowest provable level of the room at this frequency; nothing is presented below it. Absent when the room was not measured.</param>
public sealed record SearchSettings(StoppingRule Rule, double MinimumDbHl, double MaximumDbHl, double? RoomBoundDbHl)
{
    private readonly double? _downDb;
    private readonly double? _upDb;

    /// <summary>
    /// Step of the measurement in dB: 5, 2 or 1. Limits and the room's bound are rounded to it, inwards. Published are steps of 5 dB; with finer ones the way to the
    /// threshold is still gone in steps of 10 and 5 dB and only the search around it is fine, down two steps and up one (common practice).
    /// </summary>
    public double StepDb { get; init; } = HearingLevels.StepDb;

    /// <summary>Level the familiarisation begins at, dB HL, e.g. a little above an estimate or the other ear's threshold; absent for the published one. Rounded to the step; never above <see cref="FamiliarisationSecondDbHl"/>.</summary>
    public double? StartDbHl { get; init; }

    /// <summary>First level of the familiarisation (ASHA 2005, second hand).</summary>
    public double FamiliarisationStartDbHl { get; init; } = 30;

    /// <summary>Second level of the familiarisation (ASHA 2005, second hand). No search starts above it.</summary>
    public double FamiliarisationSecondDbHl { get; init; } = 50;

    /// <summary>Further steps of the familiarisation in dB (ASHA 2005, from memory).</summary>
    public double FamiliarisationStepDb { get; init; } = 10;

    /// <summary>Step down after a response in dB: two steps, which are 10 dB in the published rules (ASHA 2005; ISO 8253-1:2010, 6.2.3).</summary>
    public double DownDb { get => _downDb ?? 2 * StepDb; init => _downDb = value; }

    /// <summary>Step up after a miss in dB: one step, which is 5 dB in the published rules (ASHA 2005; ISO 8253-1:2010, 6.2.3).</summary>
    public double UpDb { get => _upDb ?? StepDb; init => _upDb = value; }

    /// <summary>Start of a new series above the last response, when five ascents have failed, in dB (ISO 8253-1:2010, 6.2.3).</summary>
    public double NewSeriesRiseDb { get; init; } = 10;

    /// <summary>Chance of a silent catch trial before a tone, about 1 in 6 (1 in 5 to 10 is common practice). 0 turns them off.</summary>
    public double CatchRate { get; init; } = 1.0 / 6;

    /// <summary>Chance of a silent catch trial once the person has responded to silence at this frequency: then more of them are needed to tell a slip from a habit. A design choice; the higher of the two chances holds, and none when <see cref="CatchRate"/> is 0.</summary>
    public double CatchRateAfterFalseResponse { get; init; } = 0.4;

    /// <summary>Responses to silence, in a catch trial or before a tone, after which the person is to be instructed again (2 to 3 is common practice).</summary>
    public int FalseResponseLimit { get; init; } = 3;

    /// <summary>How often the search asks for the instruction to be given again and begins anew before it ends without a threshold, 0 to 2. More than 0 only where whoever drives it knows <see cref="SearchMove.Reinstruct"/>; once is common practice.</summary>
    public int RestartsAfterInstruction { get; init; }

    /// <summary>Presentations spoiled by noise one after another at one level, after which that level counts as hidden by noise. A design choice.</summary>
    public int NoiseVoidLimit { get; init; } = 3;

    /// <summary>Tones that count, familiarisation included, after which the search ends without a threshold. A design choice: an ordinary search takes 8 to 25.</summary>
    public int MaximumPresentations { get; init; } = 60;

    /// <summary>Spoiled presentations of every kind after which the search ends. A design choice.</summary>
    public int MaximumVoids { get; init; } = 24;
}
