using TeleHearing.Hub.Storage;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Storage;

public sealed class FolderLockTests
{
    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task AFolderIsHeldByOneHubAndFreeAgainAfterIt()
    {
        using var folder = new TempFolder();
        Assert.False(FolderLock.IsHeld(folder.Path));

        using (var first = await FolderLock.Take(folder.Path, TimeProvider.System, Cancel))
        {
            Assert.NotNull(first);
            Assert.True(FolderLock.IsHeld(folder.Path));
            Assert.Null(await FolderLock.Take(folder.Path, TimeProvider.System, Cancel));
        }

        Assert.False(FolderLock.IsHeld(folder.Path));
        using var again = await FolderLock.Take(folder.Path, TimeProvider.System, Cancel);
        Assert.NotNull(again);
    }

    [Fact]
    public async Task AHubThatIsJustEndingIsWaitedFor()
    {
        using var folder = new TempFolder();
        var ending = await FolderLock.Take(folder.Path, TimeProvider.System, Cancel);

        var taking = FolderLock.Take(folder.Path, TimeProvider.System, Cancel);
        Assert.False(taking.IsCompleted);
        ending!.Dispose();

        using var taken = await taking;
        Assert.NotNull(taken);
    }
}
