using System.Collections.Frozen;
using TeleHearing.Audiology.Tables;

namespace TeleHearing.Audiology.Noise;

/// <summary>The tables of limits shipped with the program.</summary>
/// <remarks>
/// <para>
/// ISO 8253-1:2010, Table 2 is for the supra-aural earphones of Table 3. Limit with another earphone = limit of Table 2 + attenuation of the earphone - attenuation of
/// those (11.1). Table 3 prints no attenuation of circumaural earphones below 63 Hz; none is assumed there, which is the strict side.
/// </para>
/// <para>ANSI S3.1 has one table for ears not covered, which governs bone conduction and the sound field.</para>
/// </remarks>
internal static class NoiseLimitTables
{
    private static readonly FrozenDictionary<(NoiseCriterion, ListeningCondition, int), NoiseLimits> _all = Load();

    public static NoiseLimits? Find(NoiseCriterion criterion, ListeningCondition condition, int lowestTestToneHz)
    {
        // The standard prints no column from 500 Hz for bone and sound field; the stricter one from 250 Hz holds there.
        foreach (var column in new[] { 500, 250, 125 }.Where(column => column <= Math.Max(125, lowestTestToneHz)))
        {
            if (_all.GetValueOrDefault((criterion, condition, column)) is { } limits)
            {
                return limits;
            }
        }

        return null;
    }

    private static FrozenDictionary<(NoiseCriterion, ListeningCondition, int), NoiseLimits> Load()
    {
        IEnumerable<NoiseLimits> all =
        [
            .. IsoEarphones(),
            .. IsoOpenEars(ListeningCondition.Bone, "mpanl_iso_8253_1.csv", "bone_from_"),
            .. IsoOpenEars(ListeningCondition.SoundField, "mpanl_iso_8253_2_sound_field.csv", "from_"),
            .. Ansi(NoiseCriterion.AnsiThirdOctave, "mpanl_ansi_s3_1_third_octave.csv"),
            .. Ansi(NoiseCriterion.AnsiOctave, "mpanl_ansi_s3_1_octave.csv"),
        ];
        return all.ToFrozenDictionary(limits => (limits.Criterion, limits.Condition, limits.LowestTestToneHz));
    }

    private static IEnumerable<NoiseLimits> IsoEarphones()
    {
        var attenuation = EmbeddedTable.Read("earphone_attenuation_iso_8253_1.csv").Rows.ToDictionary(row => row.Number("band_hz"));
        var rows = EmbeddedTable.Read("mpanl_iso_8253_1.csv").Rows;
        foreach (var (condition, column) in new[]
        {
            (ListeningCondition.SupraAural, "supra_aural_db"), (ListeningCondition.Insert, "insert_db"), (ListeningCondition.Circumaural, "circumaural_db"),
        })
        {
            foreach (var lowest in new[] { 125, 250, 500 })
            {
                yield return new NoiseLimits(NoiseCriterion.Iso8253, condition, lowest, [.. rows.Select(row =>
                {
                    var earphones = attenuation[row.Number("band_hz")];
                    var limit = row.Number($"air_from_{lowest}_db") + (earphones.NumberOrNone(column) ?? 0) - earphones.Number("supra_aural_db");
                    return new NoiseLimit(row.Number("band_hz"), limit, ValueStatus.Confirmed);
                })]);
            }
        }
    }

    private static IEnumerable<NoiseLimits> IsoOpenEars(ListeningCondition condition, string table, string column) =>
        new[] { 125, 250 }.Select(lowest => new NoiseLimits(
            NoiseCriterion.Iso8253,
            condition,
            lowest,
            [.. EmbeddedTable.Read(table).Rows.Select(row => new NoiseLimit(row.Number("band_hz"), row.Number($"{column}{lowest}_db"), ValueStatus.Confirmed))]));

    private static IEnumerable<NoiseLimits> Ansi(NoiseCriterion criterion, string table) =>
        from row in EmbeddedTable.Read(table).Rows
        group row by (Condition: row.Text("condition"), Range: row.Text("test_range_hz")) into column
        from condition in Conditions(column.Key.Condition)
        select new NoiseLimits(
            criterion,
            condition,
            int.Parse(column.Key.Range.Split('-')[0], System.Globalization.CultureInfo.InvariantCulture),
            [.. column.Select(row => new NoiseLimit(row.Number("band_hz"), row.Number("mpanl_db"), row.Text("status") == "confirmed" ? ValueStatus.Confirmed : ValueStatus.FromMemory))]);

    private static IEnumerable<ListeningCondition> Conditions(string printed) => printed switch
    {
        "ears covered supra-aural" => [ListeningCondition.SupraAural],
        "ears covered insert" => [ListeningCondition.Insert],
        "ears not covered" => [ListeningCondition.Bone, ListeningCondition.SoundField],
        _ => throw new InvalidOperationException($"The table of limits names a way of listening that is not known: {printed}"),
    };
}
