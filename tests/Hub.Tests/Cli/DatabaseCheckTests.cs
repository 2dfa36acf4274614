using Microsoft.Data.Sqlite;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Doctor;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Cli;

/// <summary>What the doctor says about tables of an older version and about facts of kits.</summary>
public sealed class DatabaseCheckTests
{
    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Fact]
    public async Task FactsThatFitAreSoundAndChangedOnesAreAFault()
    {
        using var folder = new TempFolder();
        await WithAMove(folder);
        Assert.Contains(await Examine(folder), finding => finding is { Sign: Sign.Ok, Subject: "kit facts" });

        await Run(folder, "UPDATE kit_facts SET Payload = Payload || 'A'");
        Assert.Contains(await Examine(folder), finding => finding is { Sign: Sign.Fault, Subject: "kit facts" });
    }

    [Fact]
    public async Task FactsCutOffAtTheirEndAreAFault()
    {
        using var folder = new TempFolder();
        await WithAMove(folder);

        await Run(folder, "DELETE FROM kit_facts");

        Assert.Contains(await Examine(folder), finding => finding is { Sign: Sign.Fault, Subject: "kit facts" });
    }

    [Fact]
    public async Task TablesOfVersionOneAreNoFaultButWillBeBroughtUp()
    {
        using var folder = new TempFolder();
        await WithAMove(folder);
        await Run(folder, "DROP TABLE kit_facts; ALTER TABLE kits DROP COLUMN FactVersion; UPDATE schema_version SET Version = 1;");

        var findings = await Examine(folder);

        Assert.Contains(findings, finding => finding is { Sign: Sign.Attention, Subject: "database" });
        Assert.DoesNotContain(findings, finding => finding.Sign == Sign.Fault);
    }

    private static Task<IReadOnlyList<Finding>> Examine(TempFolder folder) => DatabaseCheck.Examine(folder.Path, Token);

    private static async Task WithAMove(TempFolder folder)
    {
        await using var hub = await RunningHub.Start(folder);
        await using var kit = await hub.Kit();
        await using var console = await hub.Console(await hub.Person("Pella Nyström", Roles.Coordinator));
        await console.MustKit(kit.KitId, new RecordMove("Hill clinic", null, null));
    }

    private static async Task Run(TempFolder folder, string sql)
    {
        await using var connection = new SqliteConnection($"Data Source={folder.Inside(StorageRegistration.FileName)};Pooling=False");
        await connection.OpenAsync(Token);
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        await command.ExecuteNonQueryAsync(Token);
    }
}
