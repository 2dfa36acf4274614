using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Cli;
using TeleHearing.Hub.Data;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Tests.Data;

/// <summary>What was taken away since a backup does not come back with it.</summary>
public sealed class RestoredRightsTests : IAsyncLifetime
{
    private DataFolder _folder = null!;
    private string _backup = null!;
    private string _owner = null!;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync()
    {
        _folder = await DataFolder.Make();
        await using (var hub = _folder.Build())
        {
            _owner = await hub.Services.GetRequiredService<PeopleAdmin>().Enter("Sunniva Hale", [Roles.Owner, Roles.Clinician], Token);
            var kits = hub.Services.GetRequiredService<KitFleet>();
            await kits.Enter(new KitId("kit-02"), "loan kit", "shelf", Token);
            foreach (var kit in new[] { "kit-01", "kit-02" })
            {
                using var key = System.Security.Cryptography.ECDsa.Create(System.Security.Cryptography.ECCurve.NamedCurves.nistP256);
                var code = await kits.IssueEnrolmentCode(new KitId(kit), Token);
                Assert.Null((await kits.Enrol(new EnrolRequest(code, key.ExportSubjectPublicKeyInfoPem(), Protocol.Version), Token)).Refusal);
                await hub.Services.GetRequiredService<JournalKeys>().Of(new KitId(kit), JournalId.New(), Token);
                await kits.IssueEnrolmentCode(new KitId(kit), Token);
            }

            await hub.Services.GetRequiredService<SignInLinks>().Issue(_folder.Clinician, Token);
        }

        await _folder.Run($"INSERT INTO sign_ins (SignInId, PersonId, BeganTicks, Locked) VALUES ('{Guid.NewGuid()}', '{_owner}', 1, 0)");
        await _folder.Run("INSERT INTO invitations (CodeHash, ExpiresTicks) VALUES (x'01', 9000000000000000000)");
        await _folder.Run($"INSERT INTO AspNetUserPasskeys (CredentialId, UserId, Data) VALUES (x'02', '{_owner}', '{{}}'), (x'03', '{_owner}', '{{}}')");
        _backup = _folder.Inside("monday.backup");
        Assert.Equal(ExitCodes.Done, (await _folder.Backup(_backup)).Code);
    }

    public ValueTask DisposeAsync()
    {
        _folder.Dispose();
        return ValueTask.CompletedTask;
    }

    [Fact]
    public async Task KitsStayRevokedAccountsClosedAndRolesTaken()
    {
        await using (var hub = _folder.Build())
        {
            await hub.Services.GetRequiredService<KitRevocation>().Revoke(new KitId("kit-01"), "stolen", Token);
        }

        await _folder.Run($"UPDATE AspNetUsers SET ClosedTicks = 7 WHERE Id = '{_folder.Clinician}'");
        await _folder.Run($"UPDATE AspNetUsers SET PasswordHash = 'newer' WHERE Id = '{_owner}'");
        await _folder.Run($"DELETE FROM AspNetUserRoles WHERE UserId = '{_owner}' AND RoleId IN (SELECT Id FROM AspNetRoles WHERE Name = '{Roles.Clinician}')");
        await _folder.Run("DELETE FROM AspNetUserPasskeys WHERE CredentialId = x'03'");

        var (code, output, error) = await _folder.Restore(_backup);

        Assert.True(code == ExitCodes.Done, error);
        Assert.Contains("enrol them anew to use them: kit-01.", output, StringComparison.Ordinal);
        Assert.Contains("2 accounts lost", output, StringComparison.Ordinal);
        Assert.DoesNotContain("Look at them", output, StringComparison.Ordinal);
        Assert.Equal(["kit-02"], await _folder.Read("SELECT KitId FROM kits WHERE PublicKeyPem IS NOT NULL"));
        Assert.Equal(["kit-02"], await _folder.Read("SELECT KitId FROM kit_journal_keys"));
        Assert.Equal([_folder.Clinician], await _folder.Read("SELECT Id FROM AspNetUsers WHERE ClosedTicks = 7"));
        Assert.Equal([_owner], await _folder.Read("SELECT Id FROM AspNetUsers WHERE PasswordHash = 'newer'"));
        Assert.Equal([Roles.Owner], await _folder.Read($"SELECT Name FROM AspNetRoles WHERE Id IN (SELECT RoleId FROM AspNetUserRoles WHERE UserId = '{_owner}')"));
        Assert.Equal(["02"], await _folder.Read("SELECT hex(CredentialId) FROM AspNetUserPasskeys"));
        var about = await _folder.About(AuditActs.Restored);
        Assert.Contains("kit kit-01", about);
        Assert.Contains($"person {_folder.Clinician}", about);
    }

    [Fact]
    public async Task ARecoveryCodeUsedBeforeTheBackupIsNotCalledTakenAway()
    {
        await _folder.Run($"INSERT INTO recovery_codes (CodeHash, PersonId, UsedTicks) VALUES (x'0A', '{_owner}', 7), (x'0B', '{_owner}', NULL)");
        var backup = _folder.Inside("tuesday.backup");
        Assert.Equal(ExitCodes.Done, (await _folder.Backup(backup)).Code);

        Assert.DoesNotContain("lost what had been taken away", (await _folder.Restore(backup)).Output, StringComparison.Ordinal);

        await _folder.Run("UPDATE recovery_codes SET UsedTicks = 8 WHERE CodeHash = x'0B'");
        Assert.Contains("1 account lost what had been taken away", (await _folder.Restore(backup)).Output, StringComparison.Ordinal);
        Assert.Equal(["0A"], await _folder.Read("SELECT hex(CodeHash) FROM recovery_codes"));
    }

    [Fact]
    public async Task TwoRestoresOfOneSecondKeepBothFoldersFromBefore()
    {
        var second = new FakeTimeProvider(new DateTimeOffset(2026, 3, 3, 12, 0, 0, TimeSpan.Zero));
        Assert.Equal(ExitCodes.Done, (await _folder.Restore(_backup, second)).Code);
        Assert.Equal(ExitCodes.Done, (await _folder.Restore(_backup, second)).Code);

        var folder = new DirectoryInfo(_folder.Path);
        Assert.Equal(2, folder.Parent!.GetDirectories(folder.Name + ".before-*").Length);
    }

    [Theory]
    [InlineData("sign_ins")]
    [InlineData("sign_in_codes")]
    [InlineData("invitations")]
    [InlineData("enrolment_codes")]
    public async Task WhatWasGoodForOnceIsVoid(string table)
    {
        Assert.NotEqual(["0"], await _folder.Read($"SELECT CAST(COUNT(*) AS TEXT) FROM {table}"));

        Assert.Equal(ExitCodes.Done, (await _folder.Restore(_backup)).Code);

        Assert.Equal(["0"], await _folder.Read($"SELECT CAST(COUNT(*) AS TEXT) FROM {table}"));
    }

    [Fact]
    public async Task WithoutAFolderFromBeforeKitsAndAccountsAreNamedToLookAt()
    {
        Directory.Delete(_folder.Path, recursive: true);

        var (code, output, error) = await _folder.Restore(_backup);

        Assert.True(code == ExitCodes.Done, error);
        Assert.Contains("Kits that may link: kit-01, kit-02.", output, StringComparison.Ordinal);
        Assert.Contains("Sunniva Hale (clinician, owner)", output, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("Maren Toft", output, StringComparison.Ordinal);
    }

    /// <summary>Windows moves no folder in which a file is open. On Linux the same is seen in the list of the process's open files (proc(5)).</summary>
    [Fact]
    public async Task NothingInTheFolderIsOpenWhenItIsMoved()
    {
        var open = new List<string>();

        var restored = await HubRestore.Run(_backup, _folder.Path, BackupSecret.Passphrase("a sentence nobody guesses"), TimeProvider.System, Token, (from, into) =>
        {
            if (OperatingSystem.IsLinux())
            {
                open.AddRange(Directory.GetFiles("/proc/self/fd").Select(file => File.ResolveLinkTarget(file, returnFinalTarget: false)?.FullName ?? string.Empty).Where(target => target.StartsWith(from + "/", StringComparison.Ordinal)));
            }

            Directory.Move(from, into);
        });

        Assert.NotNull(restored.Before);
        Assert.Empty(open);
    }
}
