using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Data;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Tests.Data;

/// <summary>An erasure that is cut off is finished, one that begins beside a session leaves it, and what was erased cannot be read in copies either.</summary>
public sealed class ErasureTests : IAsyncLifetime
{
    private DataFolder _folder = null!;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync() => _folder = await DataFolder.Make(new FakeTimeProvider(new DateTimeOffset(2010, 3, 2, 10, 0, 0, TimeSpan.Zero)));

    public ValueTask DisposeAsync()
    {
        _folder.Dispose();
        return ValueTask.CompletedTask;
    }

    [Fact]
    public async Task WhatTheListNamesIsErasedAtTheNextStart()
    {
        await ErasureList.Add(_folder.Path, [(_folder.First.Value, Guid.NewGuid())], Token);

        await using var hub = _folder.Build();

        var loaded = await DataFolder.Load(hub, _folder.First);
        Assert.Equal((Seals.Erased, true), (loaded.Plan.Person.Name, loaded.State.Erased));
        Assert.Null(hub.Services.GetRequiredService<Seals>().Keys.Find(Seals.ScopeOf(_folder.First.Value)));
        Assert.Equal("Tarquin Ollerenshaw", (await DataFolder.Load(hub, _folder.Second)).Plan.Person.Name);
    }

    [Fact]
    public async Task WhatTheJournalSaysWasErasedIsErasedAtTheNextStartAndListed()
    {
        var before = _folder.Inside("before.db");
        await _folder.Run($"VACUUM INTO '{before}'");
        Assert.Contains("1 session was erased", (await _folder.Erase("P-0107", 0)).Output, StringComparison.Ordinal);

        // As a power cut leaves it: the journal says it, and neither the list nor the rest was reached.
        await _folder.Run($"ATTACH '{_folder.Database}' AS done; INSERT INTO erasures SELECT * FROM done.erasures", before);
        CopiedDatabase.Ready(before);
        SqliteConnection.ClearAllPools();
        foreach (var file in Directory.GetFiles(_folder.Path, "hub.db*").Append(Path.Combine(_folder.Path, ErasureList.FileName)))
        {
            File.Delete(file);
        }

        File.Move(before, _folder.Database);
        await using var hub = _folder.Build();

        Assert.Equal(Seals.Erased, (await DataFolder.Load(hub, _folder.First)).Plan.Person.Name);
        Assert.Equal(_folder.First.Value, Assert.Single(await ErasureList.Read(Path.Combine(_folder.Path, ErasureList.FileName), Token)).Session);
    }

    [Fact]
    public async Task ThatItWasToBeErasedIsNoEntryThatProlongsWhatIsKept()
    {
        await using (var hub = _folder.Build(new FakeTimeProvider(new DateTimeOffset(2010, 3, 2, 11, 0, 0, TimeSpan.Zero))))
        {
            await DataFolder.Append(hub, _folder.First, new SessionAborted(SessionStage.Scheduled, "ill", DataFolder.By));
        }

        await using (var hub = _folder.Build())
        {
            await DataFolder.Append(hub, _folder.First, new SessionErased(SessionStage.Aborted, new KitId("kit-01"), Guid.NewGuid()));
        }

        var (_, output, error) = await _folder.Erase("P-0107", 10);

        Assert.True(output.Contains("1 session was erased", StringComparison.Ordinal), output + error);
        Assert.Equal(["none"], await _folder.Read($"SELECT Wrapped FROM data_keys WHERE Scope = '{Seals.ScopeOf(_folder.First.Value)}'"));
    }

    [Fact]
    public async Task ASessionThatBeganMeanwhileIsLeftAndSaid()
    {
        await using (var hub = _folder.Build())
        {
            await DataFolder.Append(hub, _folder.First, new StageAdvanced(SessionStage.Scheduled, SessionStage.KitCheck, DataFolder.By));
        }

        // As the first look sees it when the session begins a moment later: the log decides.
        await _folder.Run("UPDATE sessions SET Stage = 'Scheduled'");

        var (_, output, error) = await _folder.Erase("P-0107", 0);

        Assert.True(output.Contains("0 sessions were erased", StringComparison.Ordinal), output + error);
        Assert.Contains("begun meanwhile", output, StringComparison.Ordinal);
        Assert.Empty(await ErasureList.Read(Path.Combine(_folder.Path, ErasureList.FileName), Token));
        await using var after = _folder.Build();
        Assert.Equal("Oda Brekkestad", (await DataFolder.Load(after, _folder.First)).Plan.Person.Name);
        Assert.Empty(Assert.Single(await after.Services.GetRequiredService<PersonErasure>().Journal(Token)).Account.Erased);
    }

    [Fact]
    public async Task TheKeysAreDestroyedInCopiesTooAndACopyThatLiesOpenIsNamed()
    {
        var (copy, open) = (Path.Combine(_folder.Path, "before-upgrade", "hub-version-90-20260101T000000Z.db"), Path.Combine(_folder.Path, "before-upgrade", "hub-version-9-20250101T000000Z.db"));
        var (before, part) = (_folder.Path + ".before-restore-20260101T000000Z", Path.Combine(_folder.Path, "backup-0.part"));
        Directory.CreateDirectory(Path.GetDirectoryName(copy)!);
        Directory.CreateDirectory(before);
        string[] copies = [copy, Path.Combine(before, StorageRegistration.FileName), part, open];
        foreach (var file in copies)
        {
            await _folder.Run($"VACUUM INTO '{file}'");
        }

        await _folder.Run("DROP TABLE data_keys", open);

        var (_, output, error) = await _folder.Erase("P-0107", 0);

        Assert.True(output.Contains("1 session was erased", StringComparison.Ordinal), output + error);
        Assert.Contains(open, output, StringComparison.Ordinal);
        foreach (var file in copies[..3])
        {
            Assert.DoesNotContain(file, output, StringComparison.Ordinal);
            Assert.Equal(["none"], await _folder.Read($"SELECT Wrapped FROM data_keys WHERE Scope = '{Seals.ScopeOf(_folder.First.Value)}'", file));
            Assert.NotEqual(["none"], await _folder.Read($"SELECT Wrapped FROM data_keys WHERE Scope = '{Seals.ScopeOf(_folder.Second.Value)}'", file));
        }

        Assert.Equal(_folder.First.Value, Assert.Single(await ErasureList.Read(Path.Combine(before, ErasureList.FileName), Token)).Session);
    }

    [Fact]
    public async Task ALogThatCouldNotBeEmptiedIsSaid()
    {
        await using var reader = new SqliteConnection($"Data Source={_folder.Database};Pooling=False");
        await reader.OpenAsync(Token);
        await using var command = reader.CreateCommand();
        command.CommandText = "BEGIN; SELECT COUNT(*) FROM sessions";
        await command.ExecuteScalarAsync(Token);

        var (_, output, error) = await _folder.Erase("P-0107", 0);

        Assert.True(output.Contains("hub.db-wal", StringComparison.Ordinal), output + error);
        Assert.Contains("Stop the hub once", output, StringComparison.Ordinal);
    }
}
