using System.CommandLine;
using System.Globalization;
using Microsoft.AspNetCore.Builder;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli;
using TeleHearing.Hub.Cli.Data;
using TeleHearing.Hub.Cli.Doctor;
using TeleHearing.Hub.Data;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Records;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Verification;
using TeleHearing.Hub.Tests.Storage;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Data;

/// <summary>Backup, restore, export and erasing from the command line, and what is said of every mistake.</summary>
public sealed class DataVerbTests : IAsyncLifetime
{
    private readonly TempFolder _folder = new();
    private SessionId _first;
    private SessionId _second;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    private string Data => _folder.Inside("hub");

    private string Passphrase => _folder.Inside("passphrase.txt");

    public async ValueTask InitializeAsync()
    {
        await File.WriteAllTextAsync(Passphrase, "a sentence nobody guesses\n", Token);
        await using var hub = Build();
        await hub.StartAsync(Token);
        var maren = await hub.Services.GetRequiredService<PeopleAdmin>().Enter("Maren Toft", [Roles.Clinician], Token);
        await hub.Services.GetRequiredService<KitFleet>().Enter(new KitId("kit-01"), "loan kit", "shelf", Token);
        _first = await Plan(hub, maren, "P-0107", "Oda Brekkestad", "Trouble at table, says her friend Tarquin Ollerenshaw.");
        _second = await Plan(hub, maren, "P-0112", "Tarquin Ollerenshaw", "Turns the radio up.");
        foreach (var session in new[] { _first, _second })
        {
            await Note(hub, session, "Hears better with the window shut, says Maren Toft.");
        }

        await hub.StopAsync(Token);
    }

    public ValueTask DisposeAsync()
    {
        SqliteConnection.ClearAllPools();
        _folder.Dispose();
        return ValueTask.CompletedTask;
    }

    [Fact]
    public async Task ABackupIsRestoredVerifiedAndWithoutWhatWasErasedSince()
    {
        var backup = _folder.Inside("monday.backup");
        Assert.Equal(ExitCodes.Done, (await Backup("--out", backup, "--passphrase-file", Passphrase)).Code);
        Assert.All(Traces.Find(_folder.Path, "Oda Brekkestad", "a sentence nobody"[2..], "window shut"), trace => Assert.StartsWith("passphrase", trace, StringComparison.Ordinal));
        Assert.Equal(ExitCodes.Done, (await Erase("--person", "P-0107", "--reason", "asked for by the person", "--keep-years", "0")).Code);

        var (code, output, error) = await Restore("--from", backup, "--passphrase-file", Passphrase);

        Assert.True(code == ExitCodes.Done, error);
        Assert.Contains("1 session that had been erased since was erased again.", output, StringComparison.Ordinal);
        await using var hub = Build();
        var store = hub.Services.GetRequiredService<SessionStore>();
        Assert.Equal(Seals.Erased, (await store.Load(_first, Token))!.Plan.Person.Name);
        Assert.Equal("Tarquin Ollerenshaw", (await store.Load(_second, Token))!.Plan.Person.Name);
        Assert.Single(Directory.GetDirectories(_folder.Path, "hub.before-restore-*"));
        Assert.Empty(Directory.GetDirectories(_folder.Path, "hub.restoring-*"));
    }

    [Fact]
    public async Task WhatIsErasedIsGoneAndTheChainsHold()
    {
        var (code, output, error) = await Erase("--person", "P-0107", "--reason", "asked for by the person", "--keep-years", "0");
        Assert.True(code == ExitCodes.Done, error);
        Assert.Contains("1 session was erased: its key is destroyed", output, StringComparison.Ordinal);

        await using (var hub = Build())
        {
            var loaded = (await hub.Services.GetRequiredService<SessionStore>().Load(_first, Token))!;
            Assert.True(loaded.Integrity.Valid);
            Assert.Equal(("(erased)", "What was recorded about the person was erased."), (loaded.Plan.Person.Name, loaded.State.StageReason));
            var record = (await hub.Services.GetRequiredService<RecordExport>().ReadJson(_first, Token))!;
            Assert.Contains("erased", record, StringComparison.Ordinal);
            Assert.DoesNotContain("window shut", record, StringComparison.Ordinal);
            Assert.Equal("asked for by the person", Assert.Single(await hub.Services.GetRequiredService<PersonErasure>().Journal(Token)).Account.Reason);
        }

        await using var connection = new SqliteConnection($"Data Source={Path.Combine(Data, StorageRegistration.FileName)};Pooling=False");
        await connection.OpenAsync(Token);
        await using var keys = await OfflineSeals.Find(Data, TimeProvider.System);
        Assert.Empty((await StoreVerifier.Verify(connection, [], keys!.Seals, Token)).Faults);
        Assert.Null(keys.Seals.Keys.Find(Seals.ScopeOf(_first.Value)));
        Assert.Contains("nobody with the reference P-0107", (await Erase("--person", "P-0107", "--reason", "again")).Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task WhatMustBeKeptIsKeptAndSaidUntilWhenAndWhy()
    {
        await End(_first);

        var (code, output, _) = await Erase("--person", "P-0107", "--reason", "asked for by the person", "--keep-years", "10");

        Assert.Equal(ExitCodes.Done, code);
        Assert.Contains("0 sessions were erased", output, StringComparison.Ordinal);
        Assert.Contains(string.Create(CultureInfo.InvariantCulture, $"Kept until {TimeProvider.System.GetUtcNow().Year + 10}-"), output, StringComparison.Ordinal);
        Assert.Contains("Records of care are kept for 10 years", output, StringComparison.Ordinal);
        await using var hub = Build();
        Assert.Equal("Oda Brekkestad", (await hub.Services.GetRequiredService<SessionStore>().Load(_first, Token))!.Plan.Person.Name);
    }

    [Fact]
    public async Task AnExportHoldsEverythingAboutThePersonAndNamesNobodyElse()
    {
        var out1 = _folder.Inside("export");
        var (code, _, error) = await Export("--person", "P-0107", "--out", out1);
        Assert.True(code == ExitCodes.Done, error);

        var texts = await Task.WhenAll(Directory.GetFiles(out1, "*", SearchOption.AllDirectories).Select(file => File.ReadAllTextAsync(file, Token)));
        var page = await File.ReadAllTextAsync(Path.Combine(out1, "index.html"), Token);
        Assert.Contains("Oda Brekkestad", page, StringComparison.Ordinal);
        Assert.Contains("window shut", page, StringComparison.Ordinal);
        Assert.All(texts, text => Assert.DoesNotContain("Tarquin", text, StringComparison.Ordinal));
        Assert.All(texts, text => Assert.DoesNotContain("Toft", text, StringComparison.Ordinal));
        Assert.All(texts, text => Assert.DoesNotContain("P-0112", text, StringComparison.Ordinal));
        Assert.True(File.Exists(Path.Combine(out1, "sessions", _first.ToString(), "events.json")));

        Assert.Contains("not empty", (await Export("--person", "P-0107", "--out", out1)).Error, StringComparison.Ordinal);
        Assert.Contains("nobody with the reference P-9999", (await Export("--person", "P-9999", "--out", _folder.Inside("none"))).Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(_folder.Inside("none")));
        Assert.Contains("cannot be written", (await Export("--person", "P-0107", "--out", Path.Combine(Passphrase, "below"))).Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task EveryMistakeIsSaidAndChangesNothing()
    {
        var backup = _folder.Inside("good.backup");
        Assert.Equal(ExitCodes.Done, (await Backup("--out", backup, "--passphrase-file", Passphrase)).Code);
        Assert.Contains("there already", (await Backup("--out", backup, "--passphrase-file", Passphrase)).Error, StringComparison.Ordinal);
        Assert.Contains("cannot be written", (await Backup("--out", _folder.Inside("no/such/place"), "--passphrase-file", Passphrase)).Error, StringComparison.Ordinal);
        Assert.Contains("either --passphrase-file or --key-file", (await Backup("--out", _folder.Inside("x"))).Error, StringComparison.Ordinal);
        Assert.Contains("cannot be read", (await Backup("--out", _folder.Inside("x"), "--key-file", _folder.Inside("none"))).Error, StringComparison.Ordinal);
        Assert.Contains("at least 32", (await Backup("--out", _folder.Inside("x"), "--key-file", Passphrase)).Error, StringComparison.Ordinal);
        var other = _folder.Inside("other.txt");
        await File.WriteAllTextAsync(other, "short", Token);
        Assert.Contains("at least 15", (await Backup("--out", _folder.Inside("x"), "--passphrase-file", other)).Error, StringComparison.Ordinal);

        await File.WriteAllTextAsync(other, "another sentence altogether", Token);
        Assert.Contains("does not open this backup", (await Restore("--from", backup, "--passphrase-file", other)).Error, StringComparison.Ordinal);
        Assert.Contains("There is no backup", (await Restore("--from", _folder.Inside("none"), "--passphrase-file", Passphrase)).Error, StringComparison.Ordinal);
        await File.WriteAllTextAsync(other, "another sentence altogether", Token);
        Assert.Contains("damaged or is none", (await Restore("--from", other, "--passphrase-file", Passphrase)).Error, StringComparison.Ordinal);
        var cut = _folder.Inside("cut.backup");
        await File.WriteAllBytesAsync(cut, (await File.ReadAllBytesAsync(backup, Token))[..2000], Token);
        Assert.Contains("damaged or is none", (await Restore("--from", cut, "--passphrase-file", Passphrase)).Error, StringComparison.Ordinal);
        using (await FolderLock.Take(Data, TimeProvider.System, Token))
        {
            Assert.Contains("in use by a running hub", (await Restore("--from", backup, "--passphrase-file", Passphrase)).Error, StringComparison.Ordinal);
        }

        Assert.Contains("0 to 100, not \"-1\"", (await Erase("--person", "P-0107", "--reason", "r", "--keep-years", "-1")).Error, StringComparison.Ordinal);
        Assert.Contains("nobody with the reference P-9999", (await Erase("--person", "P-9999", "--reason", "r")).Error, StringComparison.Ordinal);
        Assert.DoesNotContain(Directory.GetDirectories(_folder.Path), name => name.Contains("restor", StringComparison.Ordinal));
        await using var hub = Build();
        Assert.Equal("Oda Brekkestad", (await hub.Services.GetRequiredService<SessionStore>().Load(_first, Token))!.Plan.Person.Name);
    }

    [Fact]
    public async Task AStoreOfANewerVersionIsRefusedInWordsByVerifyAndBackup()
    {
        await using (var connection = new SqliteConnection($"Data Source={Path.Combine(Data, StorageRegistration.FileName)};Pooling=False"))
        {
            await connection.OpenAsync(Token);
            await using var command = connection.CreateCommand();
            command.CommandText = "UPDATE schema_version SET Version = 999";
            await command.ExecuteNonQueryAsync(Token);
        }

        Assert.Contains("A newer hub wrote it", (await Backup("--out", _folder.Inside("x"), "--passphrase-file", Passphrase)).Error, StringComparison.Ordinal);
        Assert.Contains("A newer hub wrote it", (await Verb(VerifyCommand.Make(TimeProvider.System))).Error, StringComparison.Ordinal);
        Assert.Contains(await DatabaseCheck.Examine(Data, Token), finding => finding.ToString().Contains("A newer hub wrote it", StringComparison.Ordinal));
        Assert.Contains("A newer hub wrote it", Assert.Throws<InvalidOperationException>(() => Build()).Message, StringComparison.Ordinal);
    }

    private WebApplication Build() => HubHost.Build(new HubSettings { DataFolder = Data, Urls = "http://127.0.0.1:0", ServeConsole = false, LogToConsole = false });

    private static Task<SessionId> Plan(WebApplication hub, string clinician, string reference, string name, string referral) => hub.Services.GetRequiredService<SessionSchedule>().Plan(
        new SessionPlan(new PersonTested(reference, name, new DateOnly(1951, 3, 14), referral), "at home", TimeProvider.System.GetUtcNow(), new KitId("kit-01"), clinician),
        Token);

    private static async Task Note(WebApplication hub, SessionId session, string text)
    {
        var store = hub.Services.GetRequiredService<SessionStore>();
        var loaded = (await store.Load(session, Token))!;
        Assert.Equal(AppendOutcome.Appended, await store.Append(new AppendBatch([new SessionAppend(loaded, [new NoteAdded(text, new Actor("m", "Maren Toft"))])], null, null, _ => { }), Token));
    }

    private async Task End(SessionId session)
    {
        await using var hub = Build();
        var store = hub.Services.GetRequiredService<SessionStore>();
        var loaded = (await store.Load(session, Token))!;
        await store.Append(new AppendBatch([new SessionAppend(loaded, [new SessionAborted(SessionStage.Scheduled, "ill", new Actor("m", "Maren Toft"))])], null, null, _ => { }), Token);
    }

    private Task<(int Code, string Output, string Error)> Backup(params string[] arguments) => Verb(BackupCommands.Backup(TimeProvider.System), arguments);

    private Task<(int Code, string Output, string Error)> Restore(params string[] arguments) => Verb(BackupCommands.Restore(TimeProvider.System), arguments);

    private Task<(int Code, string Output, string Error)> Export(params string[] arguments) => Verb(PersonCommands.Export(TimeProvider.System), arguments);

    private Task<(int Code, string Output, string Error)> Erase(params string[] arguments) => Verb(PersonCommands.Erase(TimeProvider.System), arguments);

    private async Task<(int Code, string Output, string Error)> Verb(Command verb, params string[] arguments)
    {
        await using var output = new StringWriter(CultureInfo.InvariantCulture);
        await using var error = new StringWriter(CultureInfo.InvariantCulture);
        var parsed = verb.Parse(["--data", Data, .. arguments]);
        var code = await parsed.InvokeAsync(new InvocationConfiguration { Output = output, Error = error }, Token);
        SqliteConnection.ClearAllPools();
        return (code, output.ToString(), error.ToString());
    }
}
