using System.Globalization;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>The kit's self-check before anything is played: certificate, serial numbers, devices, clock, disk, protocol.</summary>
internal static class KitCheck
{
    /// <summary>How long the devices are watched, ms.</summary>
    private const double WatchMs = 1000;

    /// <summary>Space a session needs many times over (a session's journal is about 1 MB).</summary>
    private const long LeastFreeBytes = 100L * 1024 * 1024;

    /// <summary>Longest time from sample to sound with which the kit still falls silent within half a second of a reset link, ms: the longest asked for, and a device's own share.</summary>
    private const double MostLatencyMs = Hosting.KitSound.LongestLatencyMs + 100;

    /// <summary>How far the sound device's clock may be off the machine's over the watch: far above the error of any quartz, far below a wrong sample rate (design).</summary>
    private const double ClockToleranceRatio = 0.1;

    public static async Task<StepConclusion> RunAsync(StepContext context, string dataFolder, Pace pace)
    {
        var gear = context.Ceilings.Gear;
        var listener = new LevelListener();
        var (began, firstFrame) = (context.Time.GetTimestamp(), context.Engine.Frames);
        var result = await context.Engine.PresentAsync(
            new Presentation { LeadFrames = 0, BodyFrames = AudioFormat.FramesOf(WatchMs), TailFrames = 0, NeedsLease = false, Room = listener },
            context.Token);
        if (result.End is not (PresentationEnd.Complete or PresentationEnd.DeviceFault))
        {
            throw new StepBrokenException(context.Conclude(result));
        }

        var elapsedMs = context.Time.GetElapsedTime(began).TotalMilliseconds;
        var soundMs = AudioFormat.MillisecondsOf(context.Engine.Frames - firstFrame);
        KitCheckLine[] lines =
        [
            .. CalibrationLines(gear, context.Time),
            .. BoneLines(gear, context.Time),
            Output(context.Engine),
            Microphone(context.Engine, gear, listener),
            Clock(elapsedMs, soundMs, pace, result.End),
            Disk(dataFolder),
            new("protocol", "Program and protocol", true, $"Protocol version {Protocol.Version}", null),
        ];
        return StepConclusion.Completed(new KitCheckResult(lines, context.Ceilings.FindGearUsed(), gear.HoldsUntil));
    }

    private static IEnumerable<KitCheckLine> CalibrationLines(Gear gear, TimeProvider time)
    {
        var faults = gear.Faults(time);
        var serials = faults.FirstOrDefault(fault => fault.Code == LevelFaultCodes.CalibrationMismatch);
        var certificate = faults.FirstOrDefault(fault => fault.Code != LevelFaultCodes.CalibrationMismatch);
        var record = gear.Calibration;
        yield return certificate is null && record is not null
            ? new("certificate", "Calibration certificate", true, string.Create(CultureInfo.InvariantCulture, $"{record.CertificateId}, {record.Laboratory}, valid until {gear.HoldsUntil:d MMM yyyy}"), null)
            : new("certificate", "Calibration certificate", false, certificate?.Sentence ?? "There is no calibration record.", certificate?.Mend);
        yield return new(
            "serials",
            "Serial numbers",
            serials is null && record is not null,
            serials?.Sentence ?? $"Unit {gear.Kit.UnitSerial}, transducer {gear.Kit.TransducerSerial} ({gear.Kit.TransducerKind})",
            serials?.Mend ?? (record is null ? "Put the calibration record of this kit in place." : null));
    }

    /// <summary>A vibrator that may not be used keeps nobody from being tested by air, so the line says so and passes.</summary>
    private static IEnumerable<KitCheckLine> BoneLines(Gear gear, TimeProvider time)
    {
        if (gear.Kit.BoneVibrator is { } vibrator)
        {
            yield return new(
                "bone-vibrator",
                "Bone vibrator",
                true,
                gear.BoneFaults(time) is [var fault, ..] ? $"Nothing is tested by bone: {fault.Sentence} {fault.Mend}" : $"{vibrator.Serial}, certificate {gear.BoneCalibration!.CertificateId}",
                null);
        }
    }

    private static KitCheckLine Output(AudioEngine engine)
    {
        var late = engine.OutputLatencyMs > MostLatencyMs;
        var right = engine.Fault is null && engine.OutputRateHz == AudioFormat.SampleRateHz && !late;
        return new("output", "Sound output", right, engine.Fault?.Sentence ?? string.Create(CultureInfo.InvariantCulture, $"{engine.OutputName}, {engine.OutputRateHz} Hz, {engine.OutputLatencyMs:0} ms from sample to sound"), right ? null : engine.Fault?.Mend ?? (late ? "So much sound held ready makes a stop come late. Set a shorter outputLatencyMs in kit.json, or use another device." : "Check the cable of the unit, then restart the kit."));
    }

    private static KitCheckLine Microphone(AudioEngine engine, Gear gear, LevelListener listener)
    {
        const string Label = "Measurement microphone";
        if (engine.Microphone is not { } microphone || gear.Kit.Microphone is null)
        {
            return new("microphone", Label, true, "This kit has none with a sensitivity on record: nothing is claimed about room noise.", null);
        }

        if (RoomHearing.Find(microphone, gear) is { Hearing: null, Reason: { } reason })
        {
            return new("microphone", Label, false, $"{reason} Nothing can be claimed about room noise.", "Correct the record of the microphone, or its input, then check the kit again.");
        }

        var hears = listener.Hears;
        return new("microphone", Label, hears, hears ? $"{microphone.DeviceName}, serial {gear.Kit.Microphone.Serial}" : "It gives no usable signal.", hears ? null : "Check that the microphone is plugged in and not covered.");
    }

    private static KitCheckLine Clock(double elapsedMs, double soundMs, Pace pace, PresentationEnd end)
    {
        const string Label = "Sound clock";
        if (pace == Pace.Fast)
        {
            return new("clock", Label, end == PresentationEnd.Complete, "Simulated time, not tied to the machine's clock.", null);
        }

        var ratio = elapsedMs / soundMs;
        var right = end == PresentationEnd.Complete && Math.Abs(ratio - 1) <= ClockToleranceRatio;
        return new("clock", Label, right, string.Create(CultureInfo.InvariantCulture, $"{soundMs:0} ms of sound took {elapsedMs:0} ms"), right ? null : "Close other programs on the kit, then check again.");
    }

    private static KitCheckLine Disk(string dataFolder)
    {
        const string Label = "Storage";
        const string Mend = "Free some space on the kit's disk, then check again.";
        try
        {
            var probe = Path.Combine(dataFolder, "write-check.tmp");
            File.WriteAllBytes(probe, new byte[4096]);
            File.Delete(probe);
            var free = new DriveInfo(Path.GetFullPath(dataFolder)).AvailableFreeSpace;
            return new("disk", Label, free >= LeastFreeBytes, string.Create(CultureInfo.InvariantCulture, $"{free / (1024.0 * 1024 * 1024):0.0} GB free"), free >= LeastFreeBytes ? null : Mend);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return new("disk", Label, false, "The kit's disk cannot be written.", Mend);
        }
    }

    /// <summary>Whether the microphone gives a living signal: not dead silence, no numbers that are none.</summary>
    private sealed class LevelListener : IRoomListener
    {
        private bool _any;
        private bool _broken;

        public bool Hears => _any && !_broken;

        public void Hear(long framesSinceOnset, ReadOnlySpan<float> mono)
        {
            foreach (var sample in mono)
            {
                _any |= sample != 0;
                _broken |= !float.IsFinite(sample);
            }
        }
    }
}
