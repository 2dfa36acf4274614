namespace TeleHearing.Audiology.PureTone;

/// <summary>How a threshold search goes about its work. Levels in dB HL.</summary>
/// <param name="Rule">Stopping rule.</param>
/// <param name="MinimumDbHl">Lowest level that may be presented; never below -10 dB HL.</param>
/// <param name="MaximumDbHl">Highest level that may be presented.</param>
/// <param name="RoomBoundDbHl">Lowest provable level of the room at this frequency; nothing is presented below it. Absent when the room was not measured.</param>
public sealed record SearchSettings(StoppingRule Rule, double MinimumDbHl, double MaximumDbHl, double? RoomBoundDbHl)
{
    /// <summary>First level of the familiarisation (ASHA 2005, second hand).</summary>
    public double FamiliarisationStartDbHl { get; init; } = 30;

    /// <summary>Second level of the familiarisation (ASHA 2005, second hand). No search starts above it.</summary>
    public double FamiliarisationSecondDbHl { get; init; } = 50;

    /// <summary>Further steps of the familiarisation in dB (ASHA 2005, from memory).</summary>
    public double FamiliarisationStepDb { get; init; } = 10;

    /// <summary>Step down after a response in dB (ASHA 2005; ISO 8253-1:2010, 6.2.3).</summary>
    public double DownDb { get; init; } = 10;

    /// <summary>Step up after a miss in dB (ASHA 2005; ISO 8253-1:2010, 6.2.3).</summary>
    public double UpDb { get; init; } = 5;

    /// <summary>Start of a new series above the last response, when five ascents have failed, in dB (ISO 8253-1:2010, 6.2.3).</summary>
    public double NewSeriesRiseDb { get; init; } = 10;

    /// <summary>Chance of a silent catch trial before a tone, about 1 in 6 (1 in 5 to 10 is common practice). 0 turns them off.</summary>
    public double CatchRate { get; init; } = 1.0 / 6;

    /// <summary>Responses to catch trials after which the search ends for the person to be instructed again (2 to 3 is common practice).</summary>
    public int FalseResponseLimit { get; init; } = 3;

    /// <summary>Presentations spoiled by noise one after another at one level, after which that level counts as hidden by noise. A design choice.</summary>
    public int NoiseVoidLimit { get; init; } = 3;

    /// <summary>Tones that count, familiarisation included, after which the search ends without a threshold. A design choice: an ordinary search takes 8 to 25.</summary>
    public int MaximumPresentations { get; init; } = 60;

    /// <summary>Spoiled presentations of every kind after which the search ends. A design choice.</summary>
    public int MaximumVoids { get; init; } = 24;
}
