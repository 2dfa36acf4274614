using System.Security.Cryptography;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.DataProtection.KeyManagement;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage.Postgres;

namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>The hub's own keys, by ASP.NET Data Protection: they wrap the keys of records and journals, and seal cookies. A new one is made every 90 days; older ones stay for what they wrapped.</summary>
internal static class HubKeys
{
    /// <summary>Folder of the keys, inside the data folder.</summary>
    public const string Folder = "keys";

    /// <summary>Why a hub does not start.</summary>
    public const string DoNotFit =
        "The keys of this data folder do not open its database: the folder \"keys\" is another one's or is missing some of them, or " + HubSettings.KeyFileVariable + " names another key file than the one they were locked with. "
        + "The database was not changed. Put the right keys back from a backup, or name the right key file, and start again.";

    /// <summary>Registers them.</summary>
    public static IServiceCollection AddHubKeys(this IServiceCollection services, HubSettings settings)
    {
        var keys = services.AddDataProtection().SetApplicationName("TeleHearing.Hub");
        if (settings.Database is { } database)
        {
            services.AddDbContext<HubKeysContext>(options => PostgresStore.Use(options, database));
            keys.PersistKeysToDbContext<HubKeysContext>();
        }
        else
        {
            keys.PersistKeysToFileSystem(PrivateFolder.Make(Path.Combine(settings.DataFolder, Folder)));
        }

        if (settings.KeyFile is { } file)
        {
            var secret = ReadSecret(file);
            services.AddSingleton(new KeyFileSecret(secret));
            services.Configure<KeyManagementOptions>(options => options.XmlEncryptor = new KeyFileEncryptor(secret));
        }

        return services;
    }

    /// <summary>What the key file holds, as a key.</summary>
    /// <exception cref="InvalidOperationException">It cannot be read, or holds too little.</exception>
    internal static byte[] ReadSecret(string file)
    {
        try
        {
            var content = File.ReadAllBytes(file);
            return content.Length >= 32
                ? HKDF.DeriveKey(HashAlgorithmName.SHA256, content, 32, info: "TeleHearing key file"u8.ToArray())
                : throw new InvalidOperationException($"The key file {file} holds {content.Length} bytes, and at least 32 are needed. Nothing was changed. Make one with: head -c 32 /dev/urandom > {file}");
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InvalidOperationException($"The key file {file} cannot be read: {fault.Message} Nothing was changed. Put it back, or give the hub the right to read it.", fault);
        }
    }
}
