using Microsoft.AspNetCore.DataProtection.KeyManagement;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Doctor;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>What is stored about people is sealed, each record for its own place, with keys that rotate and can be locked.</summary>
public sealed class SealingTests : IDisposable
{
    private readonly TempFolder _folder = new();

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Fact]
    public async Task NothingAboutPeopleLiesOpenInTheFolder()
    {
        await using var hub = await RunningHub.Start(_folder);
        var maren = await hub.Person("Maren Toft-Marked", Roles.Clinician, Roles.Coordinator);
        await using var kit = await hub.Kit();
        var session = await hub.Session(maren, reference: "P-4711-marked");
        await using var console = await hub.Console(maren);
        await console.Watch(session);
        await kit.Connect();
        await console.Must(new TakeControl());
        await console.Must(new AddNote("She hears better with the window shut."));
        await console.MustKit(kit.KitId, new RecordMove("Birch Row 4, second door", null, null));

        Assert.Equal("Ottilie Brandvold", (await console.WatchBoard()).Sessions.Single().Person.Name);
        Assert.Empty(Traces.Find(_folder.Path, "Maren Toft-Marked", "P-4711-marked", "Ottilie Brandvold", "1951-03-04", "Trouble following talk", "at home, kit posted", "window shut", "Birch Row 4"));

        // The search itself finds what is there: the number of the kit is no secret.
        Assert.NotEmpty(Traces.Find(_folder.Path, "kit-01"));
    }

    [Fact]
    public async Task ARecordInAnothersPlaceDoesNotOpen()
    {
        await using var hub = await RunningHub.Start(_folder);
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        await hub.Session(maren);
        await hub.Session(maren, reference: "P-0002");
        await Run("CREATE TEMP TABLE held AS SELECT SessionId, SealedPlan FROM sessions; UPDATE sessions SET SealedPlan = (SELECT SealedPlan FROM held WHERE held.SessionId <> sessions.SessionId)");

        await using var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token);
        var rows = await context.Sessions.AsNoTracking().ToListAsync(Token);

        Assert.Equal([Seals.Unreadable, Seals.Unreadable], rows.Select(row => row.PersonName));

        // The same key and another place: a later entry of the same session.
        var seals = hub.Get<Seals>();
        var chain = SessionEventRow.ChainOf(rows[0].SessionId);
        var stored = seals.Close(chain, 7, "{}");
        Assert.Equal(("{}", "", ""), (seals.Open(chain, 7, "note.added", stored), seals.Open(chain, 8, "note.added", stored), seals.Open(chain, 7, "note.added", "{}")));
    }

    [Fact]
    public async Task ANewKeyIsUsedFromThenOnAndOlderOnesStayGood()
    {
        var before = await Sessions(null, ["P-0001"]);
        await using (var hub = await RunningHub.Start(_folder))
        {
            var now = TimeProvider.System.GetUtcNow();
            hub.Get<IKeyManager>().CreateNewKey(now, now.AddDays(90));
        }

        var after = await Sessions(null, ["P-0002"]);

        Assert.Equal(["P-0001", "P-0002"], after);
        Assert.Equal(["P-0001"], before);
        Assert.Equal(Sign.Attention, Assert.Single(KeysCheck.Examine(_folder.Path)).Sign);
        var wrappedBy = await WrappedBy();
        Assert.Equal((3, 2), (wrappedBy.Count, wrappedBy.Distinct().Count()));
        Assert.NotEqual(wrappedBy[0], wrappedBy[^1]);
    }

    [Fact]
    public async Task AKeyFileLocksTheKeysAndAnotherOneOpensNothing()
    {
        var (right, wrong) = (await KeyFile("right.key", 1), await KeyFile("wrong.key", 2));
        await Sessions(right, ["P-0001"]);
        var keys = await Task.WhenAll(Directory.GetFiles(_folder.Inside(HubKeys.Folder)).Select(file => File.ReadAllTextAsync(file, Token)));
        Assert.All(keys, text => Assert.DoesNotContain("masterKey", text, StringComparison.Ordinal));

        Assert.Equal(Sign.Ok, Assert.Single(KeysCheck.Examine(_folder.Path)).Sign);
        Assert.Equal(["P-0001"], await Sessions(right, []));
        var refused = await Assert.ThrowsAsync<InvalidOperationException>(() => Sessions(wrong, []));
        Assert.Contains("do not open its database", refused.Message, StringComparison.Ordinal);
        Assert.Contains("do not open its database", (await Assert.ThrowsAsync<InvalidOperationException>(() => Sessions(null, []))).Message, StringComparison.Ordinal);

        await File.WriteAllBytesAsync(wrong, new byte[31], Token);
        Assert.Contains("holds 31 bytes", (await Assert.ThrowsAsync<InvalidOperationException>(() => Sessions(wrong, []))).Message, StringComparison.Ordinal);
        Assert.Contains("cannot be read", (await Assert.ThrowsAsync<InvalidOperationException>(() => Sessions(_folder.Inside("none.key"), []))).Message, StringComparison.Ordinal);
    }

    /// <summary>Test case 16 of "The Galois/Counter Mode of Operation" (McGrew and Viega), the AES-256 vector that NIST SP 800-38D refers to: the library under the seal computes the standard's cipher.</summary>
    [Fact]
    public void TheCipherIsTheStandards()
    {
        var key = Convert.FromHexString("feffe9928665731c6d6a8f9467308308feffe9928665731c6d6a8f9467308308");
        var plain = Convert.FromHexString("d9313225f88406e5a55909c5aff5269a86a7a9531534f7da2e4c303d8a318a721c3c0c95956809532fcf0e2449a6b525b16aedf5aa0de657ba637b39");
        var (cipher, tag) = (new byte[plain.Length], new byte[16]);
        using var aes = new System.Security.Cryptography.AesGcm(key, 16);
        aes.Encrypt(Convert.FromHexString("cafebabefacedbaddecaf888"), plain, cipher, tag, Convert.FromHexString("feedfacedeadbeeffeedfacedeadbeefabaddad2"));

        Assert.Equal("522dc1f099567d07f47f37a32a84427d643a8cdcbfe5c0c97598a2bd2555d1aa8cb08e48590dbb3da7b08b1056828838c5f61e6393ba7a0abcc9f662", Convert.ToHexStringLower(cipher));
        Assert.Equal("76fc6ece0f4e1768cddf8853bb2d551b", Convert.ToHexStringLower(tag));
    }

    public void Dispose()
    {
        SqliteConnection.ClearAllPools();
        _folder.Dispose();
    }

    /// <summary>Starts a hub, plans sessions, and reads all there are.</summary>
    private async Task<IReadOnlyList<string>> Sessions(string? keyFile, IReadOnlyList<string> plan)
    {
        await using var hub = await RunningHub.Start(_folder, change: settings => settings with { KeyFile = keyFile });
        await hub.Get<KitFleet>().Enter(new KitId("kit-01"), "loan kit", "shelf", Token);
        foreach (var reference in plan)
        {
            await hub.Session("nobody", reference: reference);
        }

        await using var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token);
        return [.. (await context.Sessions.AsNoTracking().ToListAsync(Token)).Select(row => row.PersonReference).Order()];
    }

    // What Data Protection protects begins with four bytes of its own, then the id of the key.
    private async Task<List<Guid>> WrappedBy()
    {
        await using var connection = new SqliteConnection($"Data Source={_folder.Inside(StorageRegistration.FileName)}");
        await connection.OpenAsync(Token);
        await using var command = connection.CreateCommand();
        command.CommandText = "SELECT Wrapped FROM data_keys ORDER BY Position";
        await using var reader = await command.ExecuteReaderAsync(Token);
        var found = new List<Guid>();
        while (await reader.ReadAsync(Token))
        {
            found.Add(new Guid(Convert.FromBase64String(reader.GetString(0)).AsSpan(4, 16)));
        }

        return found;
    }

    private async Task<string> KeyFile(string name, byte fill)
    {
        var path = _folder.Inside(name);
        await File.WriteAllBytesAsync(path, Enumerable.Repeat(fill, 32).ToArray(), Token);
        return path;
    }

    private async Task Run(string sql)
    {
        await using var connection = new SqliteConnection($"Data Source={_folder.Inside(StorageRegistration.FileName)}");
        await connection.OpenAsync(Token);
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        await command.ExecuteNonQueryAsync(Token);
    }
}
