using System.Globalization;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>A site agent as a process of its own on a data folder that outlives it, with a virtual listener who is also the assistant.</summary>
/// <param name="hub">Address it links to.</param>
/// <param name="listenerCsv">The listener.</param>
/// <param name="number">Number in the serial numbers of its gear.</param>
/// <param name="screen">Whether it serves its kit screen.</param>
internal sealed class AgentRig(Uri hub, string listenerCsv, int number = 1, bool screen = false) : IAsyncDisposable
{
    private readonly TempFolder _folder = new();
    private RealProcess? _process;
    private int _recordings;

    /// <summary>The kit's data folder.</summary>
    public string Data => _folder.Inside("kit");

    /// <summary>The newest recording of everything played.</summary>
    public string Recording => _folder.Inside($"sound-{_recordings}.wav");

    /// <summary>The running process.</summary>
    public RealProcess Process => _process ?? throw new InvalidOperationException("The agent was not started.");

    /// <summary>Makes the kit's folder with a certificate of the kind named.</summary>
    public async Task Provision(string certificate, CancellationToken cancellationToken)
    {
        await using var provision = RealProcess.Dotnet(BuiltPrograms.SiteAgent, "provision", "--data", Data, "--kit", "simulated", "--certificate", certificate, "--number", number.ToString(CultureInfo.InvariantCulture));
        Assert.True(await provision.WaitForExit(Limits.Start, cancellationToken) == 0, provision.Text());
        await File.WriteAllTextAsync(_folder.Inside("listener.csv"), listenerCsv, cancellationToken);
    }

    /// <summary>Starts it and waits until it is linked.</summary>
    /// <param name="pace">"fast" or "realtime".</param>
    /// <param name="enrolmentCode">One-time code, at the first start.</param>
    /// <param name="cancellationToken">Cancels.</param>
    public async Task Start(string pace, string? enrolmentCode, CancellationToken cancellationToken)
    {
        Launch(pace, enrolmentCode);
        await Process.WaitForLine("linked to", Limits.Start, cancellationToken);
    }

    /// <summary>Starts it without waiting for anything.</summary>
    public void Launch(string pace, string? enrolmentCode)
    {
        _recordings++;
        List<string> arguments =
        [
            "run", "--hub", hub.ToString(), "--data", Data, "--screen", screen ? "0" : "off", "--simulate", _folder.Inside("listener.csv"),
            "--seed", _recordings.ToString(CultureInfo.InvariantCulture), "--pace", pace, "--assistant", "scripted", "--record", Recording,
        ];
        if (enrolmentCode is not null)
        {
            arguments.AddRange(["--enrol", enrolmentCode]);
        }

        _process = RealProcess.Dotnet(BuiltPrograms.SiteAgent, arguments);
    }

    /// <summary>Address of the kit screen of the running process.</summary>
    public async Task<Uri> Screen(CancellationToken cancellationToken) =>
        new((await Process.WaitForLine("kit screen:", Limits.Start, cancellationToken)).Split(' ')[^1]);

    /// <summary>Ends it as a power cut would.</summary>
    public async Task Kill(CancellationToken cancellationToken)
    {
        Process.KillHard();
        await Process.WaitForExit(Limits.End, cancellationToken);
        await Process.DisposeAsync();
        _process = null;
    }

    public async ValueTask DisposeAsync()
    {
        if (_process is not null)
        {
            await _process.DisposeAsync();
        }

        _folder.Dispose();
    }
}
