using System.Globalization;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>A disk that does not take what a running program asks it to make durable: every fsync and fdatasync of the process fails with EIO, through strace, until disposed.</summary>
internal sealed class FailingSync : IAsyncDisposable
{
    private readonly RealProcess _strace;

    private FailingSync(RealProcess strace) => _strace = strace;

    /// <summary>Has a process's syncs fail.</summary>
    public static async Task<FailingSync> Of(RealProcess process, CancellationToken cancellationToken)
    {
        var strace = RealProcess.Start("strace", ["-f", "-p", process.Id.ToString(CultureInfo.InvariantCulture), "-e", "trace=fsync,fdatasync", "-e", "inject=fsync,fdatasync:error=EIO"]);
        await strace.WaitForLine("attached", Limits.Start, cancellationToken);
        return new FailingSync(strace);
    }

    public async ValueTask DisposeAsync()
    {
        // Asked to end, it lets the process go as it was.
        _strace.Interrupt();
        await _strace.WaitForExit(Limits.End, CancellationToken.None);
        await _strace.DisposeAsync();
    }
}
