using System.Collections.Frozen;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Tables;

namespace TeleHearing.Audiology.Levels;

/// <summary>Reference equivalent threshold levels: sound pressure levels of ISO 389-1, ISO 389-2, ISO 389-5 and ISO 389-8, force levels of ISO 389-3.</summary>
/// <remarks>
/// A reference threshold belongs to a transducer and a coupler together: an insert earphone differs by 15.5 dB at 8 kHz between its two couplers. Above 8 kHz only
/// circumaural and high-frequency insert earphones have any (ISO 389-5); at 8 kHz the two kinds of insert earphone differ by 3.5 dB on the same coupler.
/// A bone vibrator has two, by where it is placed: 8 to 14 dB more force is needed on the forehead than on the mastoid. Its certificate speaks of the mastoid, and so does a look-up that names no route.
/// </remarks>
public static class ReferenceThresholds
{
    private static readonly FrozenDictionary<(TransducerKind, Coupler, ConductionRoute, int), ReferenceThreshold> _values = Load();

    /// <summary>The couplers on which a kind of transducer has reference thresholds.</summary>
    public static IReadOnlyList<Coupler> CouplersOf(TransducerKind kind) => kind switch
    {
        TransducerKind.SupraAural => [Coupler.Iec60318Part1, Coupler.Iec60318Part3],
        TransducerKind.Insert => [Coupler.Iec60318Part4, Coupler.Iec60318Part5],
        TransducerKind.Circumaural => [Coupler.Iec60318Part1WithFlatPlate],
        TransducerKind.HighFrequencyInsert => [Coupler.Iec60318Part4],
        TransducerKind.BoneVibrator => [Coupler.Iec60318Part6],
        _ => [],
    };

    /// <summary>The routes by which a kind of transducer reaches an ear; the first is the one its certificate speaks of.</summary>
    public static IReadOnlyList<ConductionRoute> RoutesOf(TransducerKind kind) =>
        kind == TransducerKind.BoneVibrator ? [ConductionRoute.BoneMastoid, ConductionRoute.BoneForehead] : [ConductionRoute.Air];

    /// <summary>Whether the standards tabulate a reference threshold for this transducer, coupler and frequency.</summary>
    /// <param name="kind">Kind of transducer.</param>
    /// <param name="coupler">Coupler the calibration was made on.</param>
    /// <param name="frequency">Frequency of the tone.</param>
    /// <param name="retsplDb">Sound pressure level in the coupler at 0 dB HL, dB re 20 µPa; 0 when there is none.</param>
    public static bool TryGet(TransducerKind kind, Coupler coupler, AudiometricFrequency frequency, out double retsplDb)
    {
        var entry = Find(kind, coupler, frequency);
        retsplDb = entry?.RetsplDb ?? 0;
        return entry is not null;
    }

    /// <summary>The reference threshold in dB re 20 µPa.</summary>
    /// <exception cref="ArgumentException">The standards do not tabulate this transducer on this coupler.</exception>
    public static double Get(TransducerKind kind, Coupler coupler, AudiometricFrequency frequency) =>
        TryGet(kind, coupler, frequency, out var retsplDb)
            ? retsplDb
            : throw new ArgumentException($"No reference threshold for a {kind} transducer on coupler {coupler} at {frequency}.");

    /// <summary>The reference threshold with its status and standard, by the route of the certificate; absent when the standards do not tabulate it.</summary>
    public static ReferenceThreshold? Find(TransducerKind kind, Coupler coupler, AudiometricFrequency frequency) => Find(kind, coupler, RoutesOf(kind)[0], frequency);

    /// <summary>The reference threshold by a route; absent when the standards do not tabulate it, and always when the transducer cannot reach an ear by it.</summary>
    public static ReferenceThreshold? Find(TransducerKind kind, Coupler coupler, ConductionRoute route, AudiometricFrequency frequency) =>
        _values.GetValueOrDefault((kind, coupler, route, frequency.Hertz));

    private static FrozenDictionary<(TransducerKind, Coupler, ConductionRoute, int), ReferenceThreshold> Load()
    {
        var values = new Dictionary<(TransducerKind, Coupler, ConductionRoute, int), ReferenceThreshold>();
        Add(values, "retspl_supra_aural.csv", TransducerKind.SupraAural, Coupler.Iec60318Part1, "iec60318_1_db", "status_60318_1", "ISO 389-1");
        Add(values, "retspl_supra_aural.csv", TransducerKind.SupraAural, Coupler.Iec60318Part3, "iec60318_3_db", "status_60318_3", "ISO 389-1");
        Add(values, "retspl_insert.csv", TransducerKind.Insert, Coupler.Iec60318Part4, "occluded_ear_db", "status_occluded", "ISO 389-2");
        Add(values, "retspl_insert.csv", TransducerKind.Insert, Coupler.Iec60318Part5, "ha2_db", "status_ha2", "ISO 389-2");

        // The source lines of these tables say that all of it was confirmed; they have no status column.
        Add(values, "retspl_circumaural.csv", TransducerKind.Circumaural, Coupler.Iec60318Part1WithFlatPlate, "retspl_db", null, "ISO 389-8");
        Add(values, "retspl_insert_high_frequency.csv", TransducerKind.HighFrequencyInsert, Coupler.Iec60318Part4, "retspl_db", null, "ISO 389-5");

        // Mastoid confirmed, forehead from memory.
        Add(values, "retfl_bone.csv", TransducerKind.BoneVibrator, Coupler.Iec60318Part6, "mastoid_db", "status_mastoid", "ISO 389-3", ConductionRoute.BoneMastoid);
        Add(values, "retfl_bone.csv", TransducerKind.BoneVibrator, Coupler.Iec60318Part6, "forehead_db", "status_forehead", "ISO 389-3", ConductionRoute.BoneForehead);
        return values.ToFrozenDictionary();
    }

    private static void Add(
        Dictionary<(TransducerKind, Coupler, ConductionRoute, int), ReferenceThreshold> values,
        string table,
        TransducerKind kind,
        Coupler coupler,
        string column,
        string? statusColumn,
        string standard,
        ConductionRoute route = ConductionRoute.Air)
    {
        var read = EmbeddedTable.Read(table);
        foreach (var row in read.Rows)
        {
            if (!AudiometricFrequency.TryFromHertz(row.Number("frequency_hz"), out var frequency) || row.NumberOrNone(column) is not { } retspl)
            {
                continue;
            }

            var confirmed = statusColumn is null || row.Text(statusColumn) == "confirmed";
            values.Add((kind, coupler, route, frequency.Hertz), new ReferenceThreshold(
                retspl,
                confirmed ? ValueStatus.Confirmed : ValueStatus.FromMemory,
                read.HasColumn("standard") ? row.Text("standard") : standard));
        }
    }
}
