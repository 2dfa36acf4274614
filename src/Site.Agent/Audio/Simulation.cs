using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Simulation;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Hosting;

namespace TeleHearing.Site.Agent.Audio;

/// <summary>Builds the person and the room behind the simulated sound card from the command line.</summary>
internal static class Simulation
{
    /// <summary>The word on the command line for <see cref="DemoRows"/>.</summary>
    public const string DemoName = "demo";

    /// <summary>The word on the command line for a quiet room.</summary>
    public const string QuietName = "quiet";

    /// <summary>An invented person with a sloping loss, the left ear a little worse.</summary>
    public static IReadOnlyList<ListenerThreshold> DemoRows { get; } =
    [
        .. Rows(Ear.Right, [10, 10, 15, 15, 15, 20, 25, 35, 45, 50, 55]),
        .. Rows(Ear.Left, [10, 15, 15, 20, 20, 25, 35, 45, 50, 60, 65]),
    ];

    /// <summary>The listener named on the command line.</summary>
    /// <exception cref="FatalFaultException">The file cannot be used.</exception>
    public static VirtualListener Listener(string source, int seed, double? spreadDb = null, double falseAlarmsPerMinute = 0)
    {
        var rows = source == DemoName ? DemoRows : ReadRows(source);
        if (!rows.Any(row => row.Ear == Ear.Left) || !rows.Any(row => row.Ear == Ear.Right))
        {
            throw new FatalFaultException($"{source} must have at least one row for each ear.");
        }

        // what this simulated unit and transducer truly give; the calibration record only says so
        var settings = new VirtualListenerSettings(
            rows,
            TransducerKind.Circumaural,
            Coupler.Iec60318Part1WithFlatPlate,
            [new(Ear.Left, 1000, Provisioner.LeftSplAtFullScaleDb), new(Ear.Right, 1000, Provisioner.RightSplAtFullScaleDb)],
            seed)
        {
            VibratorOutput = [new(Ear.Left, 1000, Provisioner.LeftForceAtFullScaleDb), new(Ear.Right, 1000, Provisioner.RightForceAtFullScaleDb)],
        };
        return new VirtualListener((spreadDb is { } spread ? settings with { SlopeSdDb = spread } : settings) with { FalseAlarmsPerMinute = falseAlarmsPerMinute });
    }

    /// <summary>The room named on the command line.</summary>
    /// <exception cref="FatalFaultException">The file cannot be used.</exception>
    public static VirtualRoom Room(string source, int seed)
    {
        if (source == QuietName)
        {
            return VirtualRoom.Quiet(AudioFormat.SampleRateHz, seed);
        }

        try
        {
            return VirtualRoom.FromSamples(WaveFile.ReadMono(source));
        }
        catch (Exception fault) when (fault is IOException or InvalidDataException or UnauthorizedAccessException)
        {
            throw new FatalFaultException($"The room file {source} cannot be used. {fault.Message}", fault);
        }
    }

    private static IReadOnlyList<ListenerThreshold> ReadRows(string path)
    {
        try
        {
            return ListenerTable.Parse(File.ReadAllText(path)) switch
            {
                ListenerTable.Read read => read.Rows,
                ListenerTable.Faulty faulty => throw new FatalFaultException($"The listener file {path} cannot be used. Line {faulty.Faults[0].Line}: {faulty.Faults[0].Sentence}"),
                _ => throw new InvalidOperationException("A listener file is either read or faulty."),
            };
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new FatalFaultException($"The listener file {path} cannot be read. {fault.Message}", fault);
        }
    }

    private static IEnumerable<ListenerThreshold> Rows(Ear ear, double[] levels) =>
        AudiometricFrequency.All.Zip(levels, (frequency, level) => new ListenerThreshold(ear, frequency.Hertz, level, null));
}
