using System.Net.Sockets;
using Microsoft.AspNetCore.Connections;
using Microsoft.Data.Sqlite;
using Npgsql;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Cli;

/// <summary>Running a hub inside this program.</summary>
internal static class HubStart
{
    /// <summary>Holds a data folder for the hub about to be made; disposing gives it back.</summary>
    /// <exception cref="CliFault">A hub runs on it already.</exception>
    public static async Task<IDisposable> Hold(string folder, TimeProvider clock, CancellationToken cancellationToken)
    {
        try
        {
            Directory.CreateDirectory(folder);
            return await FolderLock.Take(folder, clock, cancellationToken)
                ?? throw new CliFault($"The data folder {folder} is in use by a running hub. Nothing was started. End that hub, or name another folder with --data DIR.");
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw Unusable(folder, fault);
        }
    }

    /// <summary>Makes a hub.</summary>
    /// <exception cref="CliFault">Its data folder cannot be used, or a setting is wrong.</exception>
    public static WebApplication Build(HubSettings settings, TimeProvider clock)
    {
        try
        {
            return HubHost.Build(settings, services => services.AddSingleton(clock));
        }
        catch (ArgumentException fault)
        {
            // Without what the framework adds for programmers.
            throw new CliFault(fault.Message.Replace($" (Parameter '{fault.ParamName}')", string.Empty, StringComparison.Ordinal));
        }
        catch (InvalidOperationException fault)
        {
            throw new CliFault(fault.Message);
        }
        catch (NpgsqlException fault)
        {
            throw new CliFault($"The database named in {HubSettings.DatabaseVariable} cannot be used: {fault.Message}. Nothing was changed. See that it runs, that the address and the password are right, and that it can be reached from this machine.");
        }
        catch (SqliteException fault)
        {
            throw new CliFault($"The database in {settings.DataFolder} cannot be used: {fault.Message}. Nothing was changed. Run \"doctor --data {settings.DataFolder}\" to see why.");
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw Unusable(settings.DataFolder, fault);
        }
    }

    /// <summary>Starts listening.</summary>
    /// <returns>The address it really listens on.</returns>
    /// <exception cref="CliFault">The address is taken, not of this machine, or not an address.</exception>
    public static async Task<Uri> Listen(WebApplication hub, CancellationToken cancellationToken)
    {
        try
        {
            await hub.StartAsync(cancellationToken);
        }
        catch (IOException fault) when (fault.InnerException is AddressInUseException)
        {
            throw new CliFault($"The hub cannot listen: {fault.Message} Nothing was changed. End the program that holds the port, or choose another with --urls http://localhost:PORT.");
        }
        catch (Exception fault) when (fault is IOException or SocketException or FormatException or InvalidOperationException)
        {
            throw new CliFault($"The hub cannot listen: {fault.Message.TrimEnd('.')}. Nothing was changed. Write the addresses of this machine like this: --urls http://localhost:5080; several are separated by semicolons.");
        }

        return new Uri(hub.Urls.First());
    }

    private static CliFault Unusable(string folder, Exception fault) =>
        new($"The data folder {folder} cannot be used: {fault.Message} Nothing was changed. Name another with --data DIR, or make room and give yourself the right to write there.");

    /// <summary>Waits for Ctrl-C or another end, and stops the hub in order.</summary>
    public static async Task UntilEnded(WebApplication hub, CancellationToken cancellationToken)
    {
        using var ending = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken, hub.Lifetime.ApplicationStopping);
        var ended = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        await using var registration = ending.Token.Register(() => ended.TrySetResult());
        await ended.Task;
        await hub.StopAsync(CancellationToken.None);
    }
}
