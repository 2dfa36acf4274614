using System.CommandLine;
using System.Globalization;
using Microsoft.AspNetCore.Builder;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Cli.Data;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Data;

/// <summary>A data folder in which two persons were tested, and the verbs on it.</summary>
internal sealed class DataFolder : IDisposable
{
    private readonly TempFolder _folder = new();

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public string Path => _folder.Inside("hub");

    public string Database => System.IO.Path.Combine(Path, StorageRegistration.FileName);

    /// <summary>Session of Oda Brekkestad, P-0107.</summary>
    public SessionId First { get; private set; }

    /// <summary>Session of Tarquin Ollerenshaw, P-0112.</summary>
    public SessionId Second { get; private set; }

    public string Clinician { get; private set; } = string.Empty;

    private string Passphrase => _folder.Inside("passphrase.txt");

    public static async Task<DataFolder> Make(TimeProvider? time = null)
    {
        var made = new DataFolder();
        await File.WriteAllTextAsync(made.Passphrase, "a sentence nobody guesses\n", Token);
        await using var hub = made.Build(time);
        made.Clinician = await hub.Services.GetRequiredService<PeopleAdmin>().Enter("Maren Toft", [Roles.Clinician], Token);
        await hub.Services.GetRequiredService<KitFleet>().Enter(new KitId("kit-01"), "loan kit", "shelf", Token);
        made.First = await made.Plan(hub, "P-0107", "Oda Brekkestad");
        made.Second = await made.Plan(hub, "P-0112", "Tarquin Ollerenshaw");
        foreach (var session in new[] { made.First, made.Second })
        {
            await Append(hub, session, new NoteAdded("Hears better with the window shut, says Maren Toft.", By));
        }

        return made;
    }

    public static Actor By { get; } = new("m", "Maren Toft");

    public string Inside(string name) => _folder.Inside(name);

    public WebApplication Build(TimeProvider? time = null) => HubHost.Build(
        new HubSettings { DataFolder = Path, Urls = "http://127.0.0.1:0", ServeConsole = false, LogToConsole = false },
        services => services.AddSingleton(time ?? TimeProvider.System));

    public Task<SessionId> Plan(WebApplication hub, string reference, string name, string place = "at home") => hub.Services.GetRequiredService<SessionSchedule>().Plan(
        new SessionPlan(new PersonTested(reference, name, new DateOnly(1951, 3, 14), "Trouble at table."), place, hub.Services.GetRequiredService<TimeProvider>().GetUtcNow(), new KitId("kit-01"), Clinician),
        Token);

    public static async Task Append(WebApplication hub, SessionId session, SessionEvent happened)
    {
        var store = hub.Services.GetRequiredService<SessionStore>();
        var loaded = (await store.Load(session, Token))!;
        Assert.Equal(AppendOutcome.Appended, await store.Append(new AppendBatch([new SessionAppend(loaded, [happened])], null, null, _ => { }), Token));
    }

    public static async Task<LoadedSession> Load(WebApplication hub, SessionId session) => (await hub.Services.GetRequiredService<SessionStore>().Load(session, Token))!;

    public Task<(int Code, string Output, string Error)> Backup(string file) => Verb(BackupCommands.Backup(TimeProvider.System), "--out", file, "--passphrase-file", Passphrase);

    public Task<(int Code, string Output, string Error)> Restore(string file, TimeProvider? time = null) => Verb(BackupCommands.Restore(time ?? TimeProvider.System), "--from", file, "--passphrase-file", Passphrase);

    public Task<(int Code, string Output, string Error)> Erase(string reference, int keepYears) =>
        Verb(PersonCommands.Erase(TimeProvider.System), "--person", reference, "--reason", "asked for by the person", "--keep-years", keepYears.ToString(CultureInfo.InvariantCulture));

    public Task<(int Code, string Output, string Error)> Export(string reference, string folder) => Verb(PersonCommands.Export(TimeProvider.System), "--person", reference, "--out", folder);

    /// <summary>What the first column of every row is.</summary>
    public async Task<IReadOnlyList<string>> Read(string sql, string? database = null)
    {
        await using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = database ?? Database, Pooling = false }.ToString());
        await connection.OpenAsync(Token);
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        await using var reader = await command.ExecuteReaderAsync(Token);
        var found = new List<string>();
        while (await reader.ReadAsync(Token))
        {
            found.Add(await reader.IsDBNullAsync(0, Token) ? "none" : reader.GetString(0));
        }

        return found;
    }

    public Task Run(string sql, string? database = null) => Read(sql, database);

    /// <summary>What an act in the audit was about.</summary>
    public async Task<IReadOnlyList<string>> About(string act) => AuditEntry.Read(act, Assert.Single(await Read($"SELECT Payload FROM audit_entries WHERE Kind = '{act}'")))!.About;

    public void Dispose()
    {
        SqliteConnection.ClearAllPools();
        _folder.Dispose();
    }

    private async Task<(int Code, string Output, string Error)> Verb(Command verb, params string[] arguments)
    {
        await using var output = new StringWriter(CultureInfo.InvariantCulture);
        await using var error = new StringWriter(CultureInfo.InvariantCulture);
        var code = await verb.Parse(["--data", Path, .. arguments]).InvokeAsync(new InvocationConfiguration { Output = output, Error = error }, Token);
        SqliteConnection.ClearAllPools();
        return (code, output.ToString(), error.ToString());
    }
}
