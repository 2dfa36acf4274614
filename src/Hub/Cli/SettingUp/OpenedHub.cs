using System.CommandLine;
using System.CommandLine.Parsing;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Cli.SettingUp;

/// <summary>The data folder of a hub, opened for a verb that sets something up. The hub itself may be running on it: the database takes writers of several processes, and a running hub reads what is new from it.</summary>
internal static class OpenedHub
{
    /// <summary>Longest text a verb takes, in characters: a line on the console.</summary>
    private const int LongestText = 200;

    /// <summary>The option <c>--data</c> of these verbs.</summary>
    public static Option<DirectoryInfo> Data() => new("--data") { Description = "data folder of the hub", DefaultValueFactory = _ => new DirectoryInfo(DataFolders.Serve) };

    /// <summary>A text that must be given.</summary>
    public static Option<string> Text(string name, string description)
    {
        var option = new Option<string>(name) { Description = description, Required = true };
        option.Validators.Add(result => RequireText(result, name, result.GetValue(option)));
        return option;
    }

    /// <summary>Refuses a text that is empty or longer than a line.</summary>
    public static void RequireText(SymbolResult result, string name, string? text)
    {
        if (string.IsNullOrWhiteSpace(text) || text.Length > LongestText || text.Any(char.IsControl))
        {
            result.AddError($"{name} must be one line of 1 to {LongestText} characters.");
        }
    }

    /// <summary>Does something with the services of the hub in a folder.</summary>
    /// <exception cref="CliFault">There is no hub in it, or it cannot be used.</exception>
    public static async Task<int> Work(DirectoryInfo folder, TimeProvider clock, Func<IServiceProvider, Task> work)
    {
        var settings = new HubSettings { DataFolder = folder.FullName, ServeConsole = false, LogToConsole = false };
        if (settings.Database is null && !File.Exists(Path.Combine(folder.FullName, StorageRegistration.FileName)))
        {
            throw new CliFault($"There is no hub in {folder}. Nothing was changed. Name its data folder with --data DIR, or make it with serve --data DIR.");
        }

        await using var hub = HubStart.Build(settings, clock);
        await work(hub.Services);
        return ExitCodes.Done;
    }

    /// <summary>The accounts with this name.</summary>
    public static async Task<IReadOnlyList<string>> PeopleNamed(IServiceProvider services, string name, CancellationToken cancellationToken)
    {
        await using var context = await services.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContextAsync(cancellationToken);

        // Names are stored sealed: they are compared here, not in the database.
        return [.. (await context.Users.AsNoTracking().ToListAsync(cancellationToken)).Where(user => user.DisplayName == name).Select(user => user.Id)];
    }

    /// <summary>The accounts with this name that have this role.</summary>
    public static async Task<IReadOnlyList<string>> PeopleNamed(IServiceProvider services, string name, string role, CancellationToken cancellationToken)
    {
        var named = await PeopleNamed(services, name, cancellationToken);
        await using var context = await services.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContextAsync(cancellationToken);
        return await context.UserRoles
            .Where(held => named.Contains(held.UserId) && context.Roles.Any(known => known.Id == held.RoleId && known.Name == role))
            .Select(held => held.UserId)
            .ToListAsync(cancellationToken);
    }
}
