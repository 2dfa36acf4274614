using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Cli;

namespace TeleHearing.Hub.Tests.Data;

/// <summary>What the verbs do with all data, or with a person's, stands in the audit.</summary>
public sealed class DataAuditTests : IAsyncLifetime
{
    private DataFolder _folder = null!;

    public async ValueTask InitializeAsync() => _folder = await DataFolder.Make();

    public ValueTask DisposeAsync()
    {
        _folder.Dispose();
        return ValueTask.CompletedTask;
    }

    [Fact]
    public async Task ABackupAndItsRestoreStandInTheAuditThatIsRestored()
    {
        var backup = _folder.Inside("monday.backup");
        Assert.Equal(ExitCodes.Done, (await _folder.Backup(backup)).Code);
        Assert.Empty(await _folder.About(AuditActs.BackedUp));

        Assert.Equal(ExitCodes.Done, (await _folder.Restore(backup)).Code);

        Assert.Empty(await _folder.About(AuditActs.BackedUp));
        Assert.StartsWith("backup of ", Assert.Single(await _folder.About(AuditActs.Restored)), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AnExportAndAnErasureNameTheSessionsConcerned()
    {
        Assert.Equal(ExitCodes.Done, (await _folder.Export("P-0107", _folder.Inside("export"))).Code);
        Assert.Equal(ExitCodes.Done, (await _folder.Erase("P-0107", 0)).Code);

        Assert.Equal([$"session {_folder.First}"], await _folder.About(AuditActs.PersonExported));
        Assert.Equal([$"session {_folder.First}"], await _folder.About(AuditActs.PersonErased));
    }
}
