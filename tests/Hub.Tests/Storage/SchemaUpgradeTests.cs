using Microsoft.Data.Sqlite;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Upgrading;
using TeleHearing.Hub.Storage.Verification;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>A data folder of an older version is brought up and loses nothing.</summary>
public sealed class SchemaUpgradeTests
{
    [Fact]
    public async Task TablesOfVersionOneAreBroughtUpAndLoseNothing()
    {
        var token = TestContext.Current.CancellationToken;
        using var folder = new TempFolder();
        SessionId session;
        string clinician;
        List<(string, string)> fresh;
        await using (var hub = await RunningHub.Start(folder))
        {
            clinician = await hub.Person("Maren Toft", Roles.Clinician);
            await using var kit = await hub.Kit();
            session = await hub.Session(clinician);
        }

        await using (var connection = await Open(folder, token))
        {
            fresh = await Tables(connection, token);
            await using (var keys = await OfflineSeals.Find(folder.Path, TimeProvider.System))
            {
                await new OpenStore(connection, keys!.Seals).Make();
            }

            SqliteConnection.ClearAllPools();

            // What version 1 had: no facts of kits or of the fleet, no audit. That its events are hashed as today is held by HashChainTests.
            await Run(connection, BackToOpen, token);
        }

        await using (var hub = await RunningHub.Start(folder))
        {
            Assert.True((await hub.Get<SessionStore>().Load(session, token))!.Integrity.Valid);
            await using var console = await hub.Console(clinician);
            Assert.Equal("Ottilie Brandvold", (await console.WatchBoard()).Sessions.Single().Person.Name);
            await console.MustKit(new KitId("kit-01"), new RecordMove("Hill clinic", null, null));
            Assert.Equal(1, (await console.WatchKit(new KitId("kit-01"))).View!.Version);
        }

        await using (var connection = await Open(folder, token))
        {
            Assert.Equal(fresh, await Tables(connection, token));
            await using var keys = await OfflineSeals.Find(folder.Path, TimeProvider.System);
            Assert.Empty((await StoreVerifier.Verify(connection, [], keys!.Seals, token)).Faults);
        }

        // The copy from before is whole, of the older version, and the only place where names still lie open.
        var copy = Assert.Single(Directory.GetFiles(folder.Inside(CopyBeforeUpgrade.Folder)));
        Assert.Contains("hub-version-1-", copy, StringComparison.Ordinal);
        Assert.All(Traces.Find(folder.Path, "Ottilie Brandvold", "Maren Toft"), trace => Assert.StartsWith(CopyBeforeUpgrade.Folder, trace, StringComparison.Ordinal));
        await using var before = new SqliteConnection($"Data Source={copy};Mode=ReadOnly;Pooling=False");
        await before.OpenAsync(token);
        await using var version = before.CreateCommand();
        version.CommandText = "SELECT schema_version.Version || PersonName FROM schema_version, sessions";
        Assert.Equal("1Ottilie Brandvold", await version.ExecuteScalarAsync(token));
    }

    [Fact]
    public async Task WhatWasChangedBeforeTheUpgradeIsFoundAtTheSamePlaceAfterIt()
    {
        var token = TestContext.Current.CancellationToken;
        using var folder = new TempFolder();
        SessionId session;
        await using (var hub = await RunningHub.Start(folder))
        {
            var clinician = await hub.Person("Maren Toft", Roles.Clinician);
            await using var kit = await hub.Kit();
            session = await hub.Session(clinician);
            await using var console = await hub.Console(clinician);
            await console.Watch(session);
            await kit.Connect();
            await console.Must(new TakeControl());
            await console.Must(new AddNote("first"));
        }

        await using (var connection = await Open(folder, token))
        {
            await using (var keys = await OfflineSeals.Find(folder.Path, TimeProvider.System))
            {
                await new OpenStore(connection, keys!.Seals).Make();
            }

            SqliteConnection.ClearAllPools();
            await Run(connection, "UPDATE session_events SET Payload = replace(Payload, 'Maren Toft', 'Somebody Else') WHERE Sequence = 3;", token);
            await Run(connection, BackToOpen, token);
        }

        await using var again = await RunningHub.Start(folder);

        Assert.Equal(new IntegrityView(false, 3), (await again.Get<SessionStore>().Load(session, token))!.Integrity);
    }

    [Fact]
    public async Task ASealingThatWasCutOffIsFinishedAtTheNextStart()
    {
        var token = TestContext.Current.CancellationToken;
        using var folder = new TempFolder();
        await using (await RunningHub.Start(folder))
        {
        }

        // As a power cut leaves it once the upgrade is committed: marked, with a photo that lies open, and with what was open in free pages.
        var picture = "an old photo of a kit"u8.ToArray();
        var photo = folder.Inside(Path.Combine("photos", "kit-01", Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(picture)) + ".jpg"));
        Directory.CreateDirectory(Path.GetDirectoryName(photo)!);
        await File.WriteAllBytesAsync(photo, picture, token);
        await using (var connection = await Open(folder, token))
        {
            await Run(connection, "PRAGMA secure_delete = OFF; CREATE TABLE was_open (Text TEXT); INSERT INTO was_open VALUES ('Ottilie Brandvold'); DROP TABLE was_open; PRAGMA user_version = 1; PRAGMA wal_checkpoint(TRUNCATE);", token);
        }

        Assert.NotEmpty(Traces.Find(folder.Path, "Ottilie Brandvold"));
        await using (await RunningHub.Start(folder))
        {
            Assert.True(Seal.IsSealed(await File.ReadAllBytesAsync(photo, token)));
        }

        Assert.Empty(Traces.Find(folder.Path, "Ottilie Brandvold"));
        await using var after = await Open(folder, token);
        await using var mark = after.CreateCommand();
        mark.CommandText = "PRAGMA user_version";
        Assert.Equal(0L, await mark.ExecuteScalarAsync(token));
    }

    [Fact]
    public async Task TheMarkOfAnUnfinishedSealingIsSetWithTheUpgradeItself()
    {
        var token = TestContext.Current.CancellationToken;
        using var folder = new TempFolder();
        await using (var hub = await RunningHub.Start(folder))
        {
            await hub.Person("Maren Toft", Roles.Clinician);
        }

        await using (var connection = await Open(folder, token))
        {
            await using (var keys = await OfflineSeals.Find(folder.Path, TimeProvider.System))
            {
                await new OpenStore(connection, keys!.Seals).Make();
            }

            SqliteConnection.ClearAllPools();
            await Run(connection, BackToOpen, token);
        }

        // The first thing after the commit fails: the photos lie where they cannot be looked through.
        var photos = folder.Inside("photos");
        var picture = Path.Combine(photos, "kit-01", new string('a', 64) + ".jpg");
        Directory.CreateDirectory(Path.GetDirectoryName(picture)!);
        await File.WriteAllTextAsync(picture, "open", token);
        using (new FileStream(picture, FileMode.Open, FileAccess.ReadWrite, FileShare.None))
        {
            await Assert.ThrowsAsync<IOException>(() => RunningHub.Start(folder));
        }

        SqliteConnection.ClearAllPools();
        await using (await RunningHub.Start(folder))
        {
            Assert.True(Seal.IsSealed(await File.ReadAllBytesAsync(picture, token)));
        }
    }

    private const string BackToOpen = "DROP TABLE running_hubs; DROP TABLE kit_links; DROP TABLE control_heard; DROP TABLE live_consoles; DROP TABLE seen_once; DROP TABLE data_tickets; DROP TABLE consent_texts; DROP TABLE sign_ins; DROP TABLE audit_entries; DROP TABLE audit_head; DROP TABLE fleet_facts; DROP TABLE fleet_head; DROP TABLE protocols; DROP TABLE kit_facts; DROP TABLE hub_keys; DROP TABLE AspNetUserPasskeys; DROP TABLE invitations; DROP TABLE person_guards; DROP TABLE recovery_codes; ALTER TABLE AspNetUsers DROP COLUMN SealedAuthenticatorKey; ALTER TABLE AspNetUsers DROP COLUMN ClosedTicks; ALTER TABLE kits DROP COLUMN FactVersion; ALTER TABLE kits DROP COLUMN KeySinceTicks; ALTER TABLE kits DROP COLUMN KeyLoanId; ALTER TABLE kits DROP COLUMN KeyRetiredTicks; ALTER TABLE sessions DROP COLUMN HandoffOpen; UPDATE schema_version SET Version = 1;";

    private static async Task<SqliteConnection> Open(TempFolder folder, CancellationToken token)
    {
        var connection = new SqliteConnection($"Data Source={folder.Inside(StorageRegistration.FileName)};Pooling=False");
        await connection.OpenAsync(token);
        return connection;
    }

    private static async Task Run(SqliteConnection connection, string sql, CancellationToken token)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        await command.ExecuteNonQueryAsync(token);
    }

    /// <summary>Every column and index of every table, in a form that does not depend on how it came to be.</summary>
    private static async Task<List<(string, string)>> Tables(SqliteConnection connection, CancellationToken token)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = """
            SELECT t.name, c.name || ' ' || c.type || ' ' || c."notnull" || ' ' || c.pk FROM sqlite_master t, pragma_table_info(t.name) c WHERE t.type = 'table'
            UNION ALL
            SELECT t.name, i.name || ' ' || i."unique" FROM sqlite_master t, pragma_index_list(t.name) i WHERE t.type = 'table'
            UNION ALL
            SELECT 'version', Version FROM schema_version
            ORDER BY 1, 2
            """;
        await using var reader = await command.ExecuteReaderAsync(token);
        var found = new List<(string, string)>();
        while (await reader.ReadAsync(token))
        {
            found.Add((reader.GetString(0), reader.GetString(1)));
        }

        return found;
    }
}
