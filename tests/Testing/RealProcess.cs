using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;

namespace TeleHearing.Testing;

/// <summary>A program running as a process of its own, with its lines captured.</summary>
/// <remarks>Lines of both streams are kept in the order they came. Every wait ends when the process does, so that a test reports its last lines instead of hanging.</remarks>
public sealed class RealProcess : IAsyncDisposable
{
    private const int SigInt = 2;
    private const int SigQuit = 3;
    private const int SigTerm = 15;
    private const int SigContinue = 18;
    private const int SigStop = 19;

    private readonly Process _process;
    private readonly Lock _gate = new();
    private readonly List<string> _lines = [];
    private TaskCompletionSource _changed = new(TaskCreationOptions.RunContinuationsAsynchronously);

    private RealProcess(Process process) => _process = process;

    /// <summary>A line came, of either stream.</summary>
    public event Action<string>? Wrote;

    /// <summary>Process id.</summary>
    public int Id => _process.Id;

    /// <summary>Whether it is over.</summary>
    public bool HasExited => _process.HasExited;

    /// <summary>Everything written so far.</summary>
    public IReadOnlyList<string> Lines
    {
        get
        {
            lock (_gate)
            {
                return [.. _lines];
            }
        }
    }

    /// <summary>Starts a .NET assembly with arguments.</summary>
    public static RealProcess Dotnet(string assembly, params IEnumerable<string> arguments) => Start("dotnet", [assembly, .. arguments]);

    /// <summary>Starts a program with arguments.</summary>
    public static RealProcess Start(string program, IEnumerable<string> arguments)
    {
        var start = new ProcessStartInfo(program)
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            RedirectStandardInput = true,
            UseShellExecute = false,
        };
        foreach (var argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        // The test host's own settings must not reach the programs under test.
        start.Environment.Remove("ASPNETCORE_URLS");
        start.Environment["DOTNET_NOLOGO"] = "1";

        var process = new Process { StartInfo = start, EnableRaisingEvents = true };
        var real = new RealProcess(process);
        process.OutputDataReceived += (_, line) => real.Add(line.Data);
        process.ErrorDataReceived += (_, line) => real.Add(line.Data);
        process.Exited += (_, _) => real.Add(null);
        process.Start();
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        return real;
    }

    /// <summary>The first line, past or to come, that fits.</summary>
    /// <exception cref="InvalidOperationException">The process ended, or the time ran out, without one; the message holds the lines written.</exception>
    public async Task<string> WaitForLine(Func<string, bool> fits, TimeSpan limit, CancellationToken cancellationToken)
    {
        using var timeout = new CancellationTokenSource(limit, TimeProvider.System);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(timeout.Token, cancellationToken);
        var seen = 0;
        while (true)
        {
            Task changed;
            bool over;
            lock (_gate)
            {
                over = _process.HasExited;
                for (; seen < _lines.Count; seen++)
                {
                    if (fits(_lines[seen]))
                    {
                        return _lines[seen];
                    }
                }

                changed = _changed.Task;
            }

            if (over)
            {
                // The streams may still hold lines written before the end.
                await _process.WaitForExitAsync(cancellationToken);
                if (Lines.Skip(seen).FirstOrDefault(fits) is { } last)
                {
                    return last;
                }

                throw new InvalidOperationException($"Process {Id} ended with code {_process.ExitCode} before the line came.\n{Text()}");
            }

            try
            {
                await changed.WaitAsync(either.Token);
            }
            catch (OperationCanceledException) when (timeout.IsCancellationRequested)
            {
                throw new InvalidOperationException($"Process {Id} did not write the line within {limit.TotalSeconds:0} s.\n{Text()}");
            }
        }
    }

    /// <summary>The first line containing a text.</summary>
    public Task<string> WaitForLine(string text, TimeSpan limit, CancellationToken cancellationToken) =>
        WaitForLine(line => line.Contains(text, StringComparison.Ordinal), limit, cancellationToken);

    /// <summary>Waits until it is over and all its lines are in.</summary>
    /// <returns>Exit code.</returns>
    /// <exception cref="TimeoutException">It was still running at the limit.</exception>
    public async Task<int> WaitForExit(TimeSpan limit, CancellationToken cancellationToken)
    {
        try
        {
            await _process.WaitForExitAsync(cancellationToken).WaitAsync(limit, TimeProvider.System, cancellationToken);
        }
        catch (TimeoutException)
        {
            throw new TimeoutException($"Process {Id} was still running after {limit.TotalSeconds:0} s.\n{Text()}");
        }

        return _process.ExitCode;
    }

    /// <summary>Ends it without a warning, as a power cut would (SIGKILL); its children are left alone.</summary>
    public void KillHard()
    {
        if (!_process.HasExited)
        {
            _process.Kill(entireProcessTree: false);
        }
    }

    /// <summary>Has it stand still where it is, its connections open and unanswered (SIGSTOP), until <see cref="GoOn"/>.</summary>
    public void StandStill() => _ = SendSignal(_process.Id, SigStop);

    /// <summary>Has it go on from where it stood still (SIGCONT).</summary>
    public void GoOn() => _ = SendSignal(_process.Id, SigContinue);

    /// <summary>Sends SIGQUIT, which some servers take as an end without tidying up.</summary>
    public void Quit() => _ = SendSignal(_process.Id, SigQuit);

    /// <summary>What Ctrl-C in a terminal sends. A shell starts its background jobs, and all they start, deaf to it; those are asked by SIGTERM instead.</summary>
    public void Interrupt()
    {
        if (!_process.HasExited)
        {
            _ = SendSignal(_process.Id, IgnoresInterrupt() ? SigTerm : SigInt);
        }
    }

    /// <summary>Whether bit 1 (SIGINT) of the mask of ignored signals is set (proc(5)).</summary>
    private bool IgnoresInterrupt()
    {
        const string Field = "SigIgn:";
        var line = File.ReadLines($"/proc/{Id}/status").First(candidate => candidate.StartsWith(Field, StringComparison.Ordinal));
        return (ulong.Parse(line.AsSpan(Field.Length).Trim(), NumberStyles.HexNumber, CultureInfo.InvariantCulture) & (1UL << (SigInt - 1))) != 0;
    }

    /// <summary>Everything written so far, as one text.</summary>
    public string Text() => string.Join('\n', Lines);

    /// <summary>Whether a process with this id is alive (a zombie is not).</summary>
    public static bool IsAlive(int id)
    {
        try
        {
            using var process = Process.GetProcessById(id);
            return !process.HasExited;
        }
        catch (ArgumentException)
        {
            return false;
        }
    }

    public async ValueTask DisposeAsync()
    {
        if (!_process.HasExited)
        {
            _process.Kill(entireProcessTree: true);
            await _process.WaitForExitAsync(CancellationToken.None);
        }

        _process.Dispose();
    }

    [DllImport("libc", EntryPoint = "kill", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int SendSignal(int processId, int signal);

    private void Add(string? line)
    {
        TaskCompletionSource changed;
        lock (_gate)
        {
            if (line is not null)
            {
                _lines.Add(line);
            }

            changed = _changed;
            _changed = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        }

        changed.TrySetResult();
        if (line is not null)
        {
            Wrote?.Invoke(line);
        }
    }
}
