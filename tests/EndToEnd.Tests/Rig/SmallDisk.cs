using System.Diagnostics;
using System.Globalization;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>A file system in memory with little room, so that a full disk can be met. Needs the right to mount.</summary>
internal sealed class SmallDisk : IDisposable
{
    private readonly TempFolder _folder = new();

    private SmallDisk()
    {
    }

    public string Path => _folder.Path;

    /// <summary>Mounts one; the test is skipped where that is not allowed.</summary>
    public static SmallDisk Mount(int kilobytes)
    {
        var disk = new SmallDisk();
        Assert.SkipUnless(
            OperatingSystem.IsLinux() && Run("mount", "-t", "tmpfs", "-o", string.Create(CultureInfo.InvariantCulture, $"size={kilobytes}k"), "tmpfs", disk.Path),
            "A small file system can only be mounted on Linux with the right to mount.");
        return disk;
    }

    /// <summary>Makes everything on it read-only, or writable again.</summary>
    public void SetReadOnly(bool readOnly) => Assert.True(Run("mount", "-o", readOnly ? "remount,ro" : "remount,rw", Path));

    /// <summary>Fills what is left.</summary>
    /// <returns>The file that fills it.</returns>
    public string Fill()
    {
        var path = System.IO.Path.Combine(Path, "filler");
        using var stream = new FileStream(path, FileMode.Create, FileAccess.Write, FileShare.None, bufferSize: 0);
        var page = new byte[4096];
        try
        {
            while (true)
            {
                stream.Write(page);
            }
        }
        catch (IOException)
        {
            // Full, as wanted.
            return path;
        }
    }

    public void Dispose()
    {
        Run("umount", Path);
        _folder.Dispose();
    }

    private static bool Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true, RedirectStandardOutput = true })
            ?? throw new InvalidOperationException($"{program} could not be started.");
        process.WaitForExit();
        return process.ExitCode == 0;
    }
}
