using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Tables;

namespace TeleHearing.Audiology.Masking;

/// <summary>How much better a covered ear hears low tones by bone, as the starting level of the masker allows for it, dB.</summary>
/// <remarks>
/// Supra-aural: 15, 15, 10 dB at 250, 500, 1000 Hz (Martin and Clark, second hand). Insert: 10 dB at 250 and 500 Hz unless its depth was verified, since measured
/// effects of inserts are not smaller (Neave-DiToro and others; Stenfelt and Reinfeldt 2007, Int J Audiol, confirmed); verified deep, 10 dB at 250 Hz alone
/// (Yacullo 1996, second hand). Circumaural: as supra-aural, an assumption on the safe side.
/// </remarks>
public static class OcclusionEffect
{
    /// <summary>Air-bone gap from which an ear has no occlusion effect left to add, dB (common practice; the number is a design choice).</summary>
    public const double UsedUpFromGapDb = 20;

    private const double UnverifiedInsertDb = 10;
    private const int UnverifiedInsertUpToHz = 500;

    private static readonly IReadOnlyList<EmbeddedTable.Row> _rows = EmbeddedTable.Read("occlusion_effect.csv").Rows;

    /// <summary>Allowance in dB for an ear without a conductive loss.</summary>
    /// <param name="covering">Earphone that covers the ear.</param>
    /// <param name="frequencyHz">Frequency in Hz; between those of the table the next lower one counts, below 250 Hz that of 250 Hz.</param>
    /// <param name="depthVerified">Whether an insert is known to sit deep.</param>
    public static double AllowanceDb(TransducerKind covering, int frequencyHz, bool depthVerified = false)
    {
        var insert = covering is TransducerKind.Insert or TransducerKind.HighFrequencyInsert;
        if (insert && !depthVerified)
        {
            return frequencyHz <= UnverifiedInsertUpToHz ? UnverifiedInsertDb : 0;
        }

        var row = _rows.LastOrDefault(row => row.Number("frequency_hz") <= frequencyHz) ?? _rows[0];
        return row.Number(insert ? "yacullo_insert_deep_db" : "textbook_supra_db");
    }

    /// <summary>Allowance in dB for an ear with a known or unknown air-bone gap: none where a conductive loss has used it up.</summary>
    /// <param name="covering">Earphone that covers the ear.</param>
    /// <param name="frequencyHz">Frequency in Hz.</param>
    /// <param name="airBoneGapDb">Air-bone gap of the covered ear in dB; absent when not known, which counts as none.</param>
    public static double AllowanceDb(TransducerKind covering, int frequencyHz, double? airBoneGapDb) =>
        airBoneGapDb >= UsedUpFromGapDb ? 0 : AllowanceDb(covering, frequencyHz);
}
