using System.Diagnostics;
using System.Threading.Channels;

namespace TeleHearing.Hub.Cli.Agent;

/// <summary>A site agent running as a child process. Its standard input stays open for as long as this process lives; when it closes, for whatever reason, the agent ends itself.</summary>
internal sealed class SiteAgentProcess : IAsyncDisposable
{
    private static readonly TimeSpan _politeEnd = TimeSpan.FromSeconds(3);

    private readonly Process _process;
    private readonly TimeProvider _clock;
    private readonly Channel<string> _lines = Channel.CreateUnbounded<string>();
    private readonly List<string> _errors = [];

    private SiteAgentProcess(Process process, TimeProvider clock)
    {
        _process = process;
        _clock = clock;
    }

    /// <summary>Process id, for the console and for tests.</summary>
    public int Id => _process.Id;

    /// <summary>Completes when the agent is over.</summary>
    public Task Ended => _process.WaitForExitAsync();

    /// <summary>Exit code, once over.</summary>
    public int ExitCode => _process.ExitCode;

    /// <summary>What it wrote to standard error, as one text.</summary>
    public string Errors
    {
        get
        {
            lock (_errors)
            {
                return string.Join(' ', _errors);
            }
        }
    }

    /// <summary>Starts an agent.</summary>
    public static SiteAgentProcess Start(IEnumerable<string> arguments, TimeProvider clock)
    {
        var start = new ProcessStartInfo("dotnet")
        {
            UseShellExecute = false,
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        start.ArgumentList.Add(SiteAgentProgram.Find());
        foreach (var argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        // The hub's own addresses are not the agent's.
        start.Environment.Remove("ASPNETCORE_URLS");
        start.Environment.Remove("DOTNET_URLS");

        var process = new Process { StartInfo = start };
        var agent = new SiteAgentProcess(process, clock);
        process.OutputDataReceived += (_, line) => agent.Take(line.Data);
        process.ErrorDataReceived += (_, line) => agent.TakeError(line.Data);
        process.Start();
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        return agent;
    }

    /// <summary>Runs an agent verb to its end.</summary>
    /// <exception cref="CliFault">It ended with anything but 0.</exception>
    public static async Task Run(IEnumerable<string> arguments, TimeProvider clock, CancellationToken cancellationToken)
    {
        await using var agent = Start(arguments, clock);
        await agent._process.WaitForExitAsync(cancellationToken);
        if (agent.ExitCode != 0)
        {
            throw agent.Fault();
        }
    }

    /// <summary>The next line that begins like this, without its beginning.</summary>
    /// <exception cref="CliFault">The agent ended, or the time ran out, before it came.</exception>
    public async Task<string> WaitForLine(string beginning, TimeSpan limit, CancellationToken cancellationToken)
    {
        using var timeout = new CancellationTokenSource(limit, _clock);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(timeout.Token, cancellationToken);
        try
        {
            await foreach (var line in _lines.Reader.ReadAllAsync(either.Token))
            {
                if (line.StartsWith(beginning, StringComparison.Ordinal))
                {
                    return line[beginning.Length..].Trim();
                }
            }
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            throw new CliFault($"The site agent did not say \"{beginning}\" within {limit.TotalSeconds:0} s. {Errors}", ExitCodes.Failed);
        }

        await _process.WaitForExitAsync(cancellationToken);
        throw Fault();
    }

    public async ValueTask DisposeAsync()
    {
        if (!_process.HasExited)
        {
            // Closing its input asks it to end; a kit that does not is ended.
            _process.StandardInput.Close();
            try
            {
                await _process.WaitForExitAsync().WaitAsync(_politeEnd, _clock);
            }
            catch (TimeoutException)
            {
                _process.Kill(entireProcessTree: true);
                await _process.WaitForExitAsync();
            }
        }

        _process.Dispose();
    }

    private CliFault Fault() => new(
        $"The site agent ended with code {ExitCode}. {Errors}".TrimEnd(),
        ExitCode == ExitCodes.BadInput ? ExitCodes.BadInput : ExitCodes.Failed);

    private void Take(string? line)
    {
        if (line is null)
        {
            _lines.Writer.TryComplete();
        }
        else
        {
            _lines.Writer.TryWrite(line);
        }
    }

    private void TakeError(string? line)
    {
        if (line is { Length: > 0 })
        {
            lock (_errors)
            {
                _errors.Add(line);
            }
        }
    }
}
