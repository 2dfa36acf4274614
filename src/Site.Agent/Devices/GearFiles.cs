using System.Text.Json;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Hosting;

namespace TeleHearing.Site.Agent.Devices;

/// <summary>Reads and writes DIR/kit.json and DIR/calibration.json.</summary>
internal static partial class GearFiles
{
    public const string KitFile = "kit.json";
    public const string CalibrationFile = "calibration.json";
    public const string BoneCalibrationFile = "calibration-bone.json";
    private static readonly JsonSerializerOptions _json = Protocol.Configure(new JsonSerializerOptions { WriteIndented = true });

    /// <summary>Reads the kit. A missing or damaged calibration record is no record: the kit then makes no sound and says why.</summary>
    /// <exception cref="FatalFaultException">There is no kit description, or it cannot be read.</exception>
    public static Gear Load(string folder, ILogger logger)
    {
        var gear = LoadQuietly(folder);
        var calibrationPath = Path.Combine(folder, CalibrationFile);
        if (gear.Calibration is null && File.Exists(calibrationPath))
        {
            Log.DamagedCalibration(logger, calibrationPath);
        }

        return gear;
    }

    /// <summary>Reads the kit for a verb of the command line, which says itself what it found.</summary>
    /// <exception cref="FatalFaultException">There is no kit description, or it cannot be read.</exception>
    public static Gear LoadQuietly(string folder)
    {
        var path = Path.Combine(folder, KitFile);
        if (!File.Exists(path))
        {
            throw new FatalFaultException($"There is no {path}. Describe the kit there, or run: {AgentProgram.Run($"provision --data {folder} --kit simulated")}");
        }

        var kit = ReadKit(path);
        if (string.IsNullOrWhiteSpace(kit.UnitSerial) || string.IsNullOrWhiteSpace(kit.TransducerSerial) || kit.BoneVibrator is { Serial: null or "" } || kit.Ceilings?.Ceilings is null)
        {
            throw new FatalFaultException($"{path} lacks a serial number or its ceilings. Complete it.");
        }

        return new Gear(kit, ReadRecord(Path.Combine(folder, CalibrationFile)))
        {
            BoneCalibration = kit.BoneVibrator is null ? null : ReadRecord(Path.Combine(folder, BoneCalibrationFile)),
        };
    }

    private static KitDescription ReadKit(string path)
    {
        var where = string.Empty;
        try
        {
            if (JsonSerializer.Deserialize<KitDescription>(File.ReadAllBytes(path), _json) is { } kit)
            {
                return kit;
            }
        }
        catch (JsonException fault)
        {
            where = $" at line {fault.LineNumber + 1}{(fault.Path is { Length: > 2 } field ? $", {field[2..]}" : string.Empty)}";
        }

        throw new FatalFaultException($"{path} cannot be read{where}. Its fields are described in docs/guides/kit.md; to see its shape, run: {AgentProgram.Run("provision --data EMPTY_FOLDER --kit simulated")}");
    }

    /// <summary>A record or kit description as its file holds it.</summary>
    public static byte[] Serialize<T>(T content) => JsonSerializer.SerializeToUtf8Bytes(content, _json);

    /// <summary>Reads a record; absent when the file is not there or is no record.</summary>
    public static CalibrationRecord? ReadRecord(string path) => Read<CalibrationRecord>(path);

    /// <summary>Writes a file, unless it is there already.</summary>
    /// <returns>What was done, as a line.</returns>
    public static string WriteIfAbsent<T>(string path, T content)
    {
        if (File.Exists(path))
        {
            return $"left as it was: {path}";
        }

        File.WriteAllBytes(path, Serialize(content));
        return $"written: {path}";
    }

    private static T? Read<T>(string path)
        where T : class
    {
        try
        {
            return File.Exists(path) ? JsonSerializer.Deserialize<T>(File.ReadAllBytes(path), _json) : null;
        }
        catch (JsonException)
        {
            return null;
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 2401, Level = LogLevel.Error, Message = "{Path} cannot be read; the kit counts as not calibrated and makes no sound.")]
        public static partial void DamagedCalibration(ILogger logger, string path);
    }
}
