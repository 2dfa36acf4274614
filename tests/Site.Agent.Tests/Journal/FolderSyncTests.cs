using TeleHearing.Site.Agent.Journal;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Journal;

/// <summary>What is said when the names of a folder cannot be brought to the disk.</summary>
public sealed class FolderSyncTests
{
    [Fact]
    public void AFolderThatFailsIsNamedAndOneWhoseDiskKnowsNoSyncIsLeftAsItIs()
    {
        using var folder = new TempFolder();
        FolderSync.Of(folder.Path);
        if (OperatingSystem.IsLinux())
        {
            var missing = folder.Inside("gone");
            Assert.Contains(missing, Assert.Throws<IOException>(() => FolderSync.Of(missing)).Message, StringComparison.Ordinal);

            // Files that the system makes up as they are read lie on no disk.
            FolderSync.Of("/proc");
        }
    }
}
