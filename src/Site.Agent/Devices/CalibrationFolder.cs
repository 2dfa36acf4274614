using System.Globalization;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Devices;

/// <summary>The calibration records of one of a kit's transducers: the one in use, and every earlier one of the kit beside it.</summary>
/// <remarks>An earlier record is written and on the disk before the new one takes its place, so that none is ever lost; after a crash either the old or the new one is in use, whole.</remarks>
internal sealed class CalibrationFolder(string folder, IDurableFiles files, string inUseFile = GearFiles.CalibrationFile)
{
    /// <summary>Folder of earlier records, inside the data folder.</summary>
    public const string EarlierFolder = "calibrations";

    private string InUsePath => Path.Combine(folder, inUseFile);

    private string EarlierPath => Path.Combine(folder, EarlierFolder);

    /// <summary>The record in use; absent when there is none or it cannot be read.</summary>
    public CalibrationRecord? InUse() => GearFiles.ReadRecord(InUsePath);

    /// <summary>Earlier records that can be read.</summary>
    public IReadOnlyList<CalibrationRecord> Earlier() => Directory.Exists(EarlierPath)
        ? [.. Directory.EnumerateFiles(EarlierPath, "*.json").Order(StringComparer.Ordinal).Select(GearFiles.ReadRecord).OfType<CalibrationRecord>()]
        : [];

    /// <summary>Puts a record in place and keeps the one before.</summary>
    /// <returns>Path of the kept one; absent when there was none.</returns>
    /// <exception cref="StorageFaultException">The disk did not take it; the record in use is the old one, whole.</exception>
    public string? Put(CalibrationRecord record, TimeProvider time) => StorageFaultException.Guard(() =>
    {
        var kept = Keep(time);
        files.Replace(InUsePath, GearFiles.Serialize(record));
        return kept;
    });

    /// <summary>Writes the owner's word on how the kit is used.</summary>
    public void SetUse(KitDescription kit, GearUse use) => StorageFaultException.Guard(() => files.Replace(Path.Combine(folder, GearFiles.KitFile), GearFiles.Serialize(kit with { Use = use })));

    private string? Keep(TimeProvider time)
    {
        // As it is on the disk, also when it cannot be read as a record: what is replaced is not thrown away.
        if (files.ReadWhole(InUsePath) is not { } content)
        {
            return null;
        }

        Directory.CreateDirectory(EarlierPath);
        var now = time.GetUtcNow().UtcDateTime.ToString("yyyyMMdd'T'HHmmssfff", CultureInfo.InvariantCulture);
        var path = Path.Combine(EarlierPath, $"until-{now}.json");
        files.Replace(path, content);
        return path;
    }
}
