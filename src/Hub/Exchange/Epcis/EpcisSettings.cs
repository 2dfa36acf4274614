using System.Security.Cryptography;
using System.Text.Json;
using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>How the clinic names its things in events: the file "epcis.json" in the data folder, made when first needed.</summary>
/// <param name="Key">Secret from which ids are made, base64, at least 32 bytes. Without it nobody can tell which id is which place; with another one all ids change.</param>
/// <param name="Base">Address under which the clinic names its things, ending in a slash; absent for ids without an address.</param>
/// <param name="TransportLowestC">Lowest temperature the makers allow on the way, °C; both or none.</param>
/// <param name="TransportHighestC">Highest temperature the makers allow on the way, °C.</param>
/// <param name="TransportHighestShockG">Largest shock the makers allow, multiples of the standard acceleration of gravity, 9.80665 m/s².</param>
internal sealed record EpcisSettings(string Key, string? Base, double? TransportLowestC, double? TransportHighestC, double? TransportHighestShockG)
{
    /// <summary>Name of the file.</summary>
    public const string FileName = "epcis.json";

    private const int KeyBytes = 32;

    private static readonly JsonSerializerOptions _json = new(JsonSerializerDefaults.Web) { WriteIndented = true };

    /// <summary>Makes the ids.</summary>
    public EpcisIds Ids => new(Convert.FromBase64String(Key), Base);

    /// <summary>What readings of parcels are held against.</summary>
    public ParcelLimits Limits => TransportLowestC is { } low && TransportHighestC is { } high
        ? new ParcelLimits(ParcelLimits.TransportName, low, high, TransportHighestShockG)
        : ParcelLimits.Operating with { HighestShockG = TransportHighestShockG };

    /// <summary>What readings of parcels are held against, without making the file. One that cannot be read counts as none: a page of a kit is not the place to mend it.</summary>
    public static ParcelLimits LimitsOf(HubSettings hub)
    {
        try
        {
            return File.Exists(Path.Combine(hub.FilesFolder, FileName)) ? Read(hub).Limits : ParcelLimits.Operating;
        }
        catch (Exception fault) when (fault is InvalidDataException or IOException or UnauthorizedAccessException)
        {
            return ParcelLimits.Operating;
        }
    }

    /// <summary>Reads the file, and makes it when it is not there.</summary>
    /// <exception cref="InvalidDataException">It is there and cannot be used; the sentence says why.</exception>
    public static EpcisSettings Read(HubSettings hub)
    {
        var path = Path.Combine(hub.FilesFolder, FileName);
        if (!File.Exists(path))
        {
            Make(path);
        }

        EpcisSettings? read;
        try
        {
            read = JsonSerializer.Deserialize<EpcisSettings>(File.ReadAllText(path), _json);
        }
        catch (JsonException fault)
        {
            throw new InvalidDataException($"{FileName} in the data folder cannot be read: {fault.Message} Nothing was written. Put the file right.", fault);
        }

        return read is not null && Faults(read) is { Count: 0 } ? read : throw new InvalidDataException($"{FileName} in the data folder cannot be used. {string.Join(" ", read is null ? ["It is empty."] : Faults(read))} Nothing was written.");
    }

    /// <summary>Everything that is wrong with the settings.</summary>
    public static IReadOnlyList<string> Faults(EpcisSettings settings)
    {
        var faults = new List<string>();
        var bytes = new byte[KeyBytes * 8];
        if (settings.Key is null || !Convert.TryFromBase64String(settings.Key, bytes, out var length) || length < KeyBytes)
        {
            faults.Add("\"key\" must be at least 32 bytes in base64: take the file from a backup, since with another key all ids change.");
        }

        if (settings.Base is { } address && !(Uri.TryCreate(address, UriKind.Absolute, out var uri) && uri.Scheme is "https" or "http" && address.EndsWith('/') && uri.Query.Length == 0 && uri.Fragment.Length == 0))
        {
            faults.Add("\"base\" must be an address that ends in a slash, e.g. https://clinic.example/id/.");
        }

        if ((settings.TransportLowestC is null) != (settings.TransportHighestC is null) || settings.TransportLowestC >= settings.TransportHighestC)
        {
            faults.Add("\"transportLowestC\" and \"transportHighestC\" are given together, the lower one first.");
        }

        if (settings.TransportHighestShockG <= 0)
        {
            faults.Add("\"transportHighestShockG\" must be above zero.");
        }

        return faults;
    }

    private static void Make(string path)
    {
        var text = JsonSerializer.Serialize(new EpcisSettings(Convert.ToBase64String(RandomNumberGenerator.GetBytes(KeyBytes)), null, null, null, null), _json);
        var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write };
        if (!OperatingSystem.IsWindows())
        {
            options.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite;
        }

        // Written beside and moved into place, so that nobody ever reads half a key; whoever comes second takes the first one's.
        var beside = path + "." + Guid.NewGuid().ToString("N");
        using (var writer = new StreamWriter(beside, options))
        {
            writer.Write(text);
        }

        try
        {
            File.Move(beside, path, overwrite: false);
        }
        catch (IOException) when (File.Exists(path))
        {
            File.Delete(beside);
        }
    }
}
