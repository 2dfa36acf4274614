using System.Data.Common;
using Microsoft.AspNetCore.DataProtection;
using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>The seals of a data folder for a program that only looks: nothing is made, no key is added.</summary>
internal sealed class OfflineSeals : IAsyncDisposable
{
    private readonly ServiceProvider _services;

    private OfflineSeals(ServiceProvider services) => _services = services;

    /// <summary>Opens what is sealed in the folder.</summary>
    public Seals Seals => _services.GetRequiredService<Seals>();

    /// <summary>Finds the keys of a folder.</summary>
    /// <returns>Null when they are not there, or do not open its database.</returns>
    public static async Task<OfflineSeals?> Find(string folder, TimeProvider clock) =>
        Directory.Exists(Path.Combine(folder, HubKeys.Folder)) ? await Find(new HubSettings { DataFolder = folder, Database = null, Redis = null }, clock) : null;

    /// <summary>Finds the keys of a hub, wherever its settings keep them.</summary>
    /// <inheritdoc cref="Find(string, TimeProvider)"/>
    public static async Task<OfflineSeals?> Find(HubSettings settings, TimeProvider clock)
    {
        if (settings.KeyFile is { } file && !File.Exists(file))
        {
            return null;
        }

        var services = new ServiceCollection().AddLogging().AddSingleton(settings).AddSingleton(clock).AddHubKeys(settings).AddSingleton<KeyDatabase>().AddSingleton<DataKeys>().AddSingleton(provider => new Seals(provider.GetRequiredService<DataKeys>()));
        services.AddDataProtection().DisableAutomaticKeyGeneration();
        var found = new OfflineSeals(services.BuildServiceProvider());
        try
        {
            if (found.Seals.Keys.Find(Seals.Clinic) is not null)
            {
                return found;
            }
        }
        catch (DbException)
        {
            // Tables of a version that seals nothing.
        }

        await found.DisposeAsync();
        return null;
    }

    public ValueTask DisposeAsync() => _services.DisposeAsync();
}
