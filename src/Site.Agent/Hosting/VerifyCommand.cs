using System.Globalization;
using Microsoft.Extensions.Logging.Abstractions;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Audio.Pulse;
using TeleHearing.Site.Agent.Audio.Verification;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>What the command line of <c>verify</c> says.</summary>
/// <param name="OutFolder">Where the report goes.</param>
/// <param name="Device">Output; absent for the kit's own, or the machine's default without a kit.</param>
/// <param name="Input">Input with a cable in it; absent for the output's own monitor.</param>
/// <param name="DataFolder">Kit whose calibration gives the levels; absent for digital levels.</param>
/// <param name="Quick">A few frequencies and levels only.</param>
internal sealed record VerifyCommand(string OutFolder, string? Device, string? Input, string? DataFolder, bool Quick)
{
    /// <summary>Exit code when a limit is not kept or the run broke off.</summary>
    public const int FailedExitCode = 1;

    /// <summary>Held ready, ms: nobody listens, so a busy machine should not spoil the run.</summary>
    private const double LatencyMs = 500;

    /// <summary>Runs it.</summary>
    /// <exception cref="CommandMistakeException">The report cannot be written where it is wanted; nothing was played.</exception>
    /// <exception cref="FatalFaultException">The kit cannot be used.</exception>
    public async Task<int> RunAsync(TextWriter output, TimeProvider time, CancellationToken cancellationToken)
    {
        OutPlaces.NeedReportFolder(OutFolder);
        var gear = DataFolder is null ? null : GearFiles.Load(DataFolder, NullLogger.Instance);
        if (gear?.Faults(time) is [var first, ..])
        {
            throw new FatalFaultException($"{first.Sentence} {first.Mend} Without --data the digital path can be verified.");
        }

        try
        {
            var report = await MeasureAsync(gear, output, time, cancellationToken);
            // before the files: should the disk have filled up meanwhile, the minutes of sound are not lost
            foreach (var line in report.Summary())
            {
                await output.WriteLineAsync(line.AsMemory(), cancellationToken);
            }

            await output.WriteLineAsync(report.Headline.AsMemory(), cancellationToken);
            await report.WriteAsync(OutFolder, cancellationToken);
            await output.WriteLineAsync($"Report: {Path.Combine(OutFolder, VerifyReport.HtmlFile)}".AsMemory(), cancellationToken);
            return report.Passed ? 0 : FailedExitCode;
        }
        catch (DeviceFaultException fault)
        {
            await output.WriteLineAsync($"{fault.Message} No report was written.");
        }
        catch (OperationCanceledException) when (cancellationToken.IsCancellationRequested)
        {
            await output.WriteLineAsync("Broken off; no report was written.");
        }

        return FailedExitCode;
    }

    private async Task<VerifyReport> MeasureAsync(Gear? gear, TextWriter output, TimeProvider time, CancellationToken cancellationToken)
    {
        var name = Device ?? gear?.Kit.Output ?? DefaultOutput();
        var items = VerifyPlan.Make(gear, Quick);
        await output.WriteLineAsync($"{name}: {Announcement(items)}".AsMemory(), cancellationToken);
        var settings = new PulseSettings(LatencyMs: LatencyMs);
        using var recorder = LoopRecorder.Open(name, Input, settings);
        var sound = new GapCounter(SoundDevices.OpenOutput(name, LatencyMs, time));
        using var engine = new AudioEngine(sound, null, null, Pace.Realtime, () => true, null, NullLogger<AudioEngine>.Instance);
        using var ending = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        var loop = Task.Factory.StartNew(() => engine.RunAsync(ending.Token).GetAwaiter().GetResult(), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        try
        {
            var readings = await new VerifyRun(engine, sound, recorder, output).RunAsync(items, time, cancellationToken);
            return new VerifyReport(time.GetUtcNow(), name, recorder.Name, recorder.IsOwnMonitor, gear?.Calibration?.CertificateId, Quick, new Judge(recorder.IsOwnMonitor, gear).Findings(readings));
        }
        finally
        {
            await ending.CancelAsync();
            await loop;
        }
    }

    /// <summary>What will be played, counted as it is counted while it plays: what sounds in both ears at one time is one stretch.</summary>
    public static string Announcement(IReadOnlyList<VerifyItem> items) => string.Create(
        CultureInfo.InvariantCulture,
        $"{VerifyTurn.Of(items).Count} stretches of sound with {items.Sum(item => Math.Max(1, item.Sounds.Count))} sounds, about {VerifyPlan.Length(items):m\\:ss} minutes. Nobody may wear the transducer.");

    private static string DefaultOutput()
    {
        var list = SoundDevices.List();
        return list.Devices.FirstOrDefault(device => device.IsDefault && device.State.Direction == SoundDirection.Output)?.State.Name
            ?? throw new DeviceFaultException(new DeviceFault(DeviceFaultKind.Lasting, string.Join(" ", ["This machine has no default sound output.", .. list.Notes]), "Name one with --device."));
    }
}
