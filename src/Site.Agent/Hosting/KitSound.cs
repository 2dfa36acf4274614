using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>The sound devices of this run: the kit's own, or the simulated card.</summary>
/// <param name="Output">Output.</param>
/// <param name="Input">Measurement microphone, when the kit has a usable one.</param>
/// <param name="Presses">Presses whose frame a device knows itself.</param>
internal sealed record KitSound(IAudioOutput Output, IAudioInput? Input, IPressSource? Presses)
{
    /// <summary>Shortest and longest sound an output may hold ready, ms: two blocks; with more a stop, and a reset of the link (0.5 s), would be heard too late.</summary>
    private const double ShortestLatencyMs = 20;

    /// <inheritdoc cref="ShortestLatencyMs"/>
    public const double LongestLatencyMs = 300;

    /// <summary>The simulated card, with a microphone when the kit has one.</summary>
    public static KitSound Simulated(SimulatedSoundCard card, Gear gear) => new(card, gear.Kit.Microphone is null ? null : card, card);

    /// <summary>The kit's own devices. One that cannot be opened leaves the kit silent and saying why; another is never taken.</summary>
    /// <exception cref="FatalFaultException">The kit names no output, or what it says of it is out of range.</exception>
    public static KitSound Open(Gear gear, RunOptions options, TimeProvider time)
    {
        if (gear.Kit.Output is not { } name)
        {
            throw new FatalFaultException($"This kit names no sound output. Put its name into kit.json as \"output\" ({AgentProgram.Run("devices")} lists them), or start with --simulate demo.");
        }

        if (options.Pace == Pace.Fast)
        {
            throw new FatalFaultException("A real sound device sets its own pace. Leave --pace out, or start with --simulate demo.");
        }

        if (gear.Kit.OutputLatencyMs is { } latency && latency is not (>= ShortestLatencyMs and <= LongestLatencyMs))
        {
            throw new FatalFaultException($"The \"outputLatencyMs\" of kit.json must be {ShortestLatencyMs} to {LongestLatencyMs} ms.");
        }

        IAudioOutput? output = null;
        try
        {
            output = SoundDevices.OpenOutput(name, gear.Kit.OutputLatencyMs, time);

            // without the microphone's own sensitivity a level would be invented: it is left closed, and nothing is claimed about noise
            var input = gear.Kit.Microphone is { Input: { } microphone, SplAtRmsOneDb: { } sensitivity } ? SoundDevices.OpenInput(microphone, sensitivity, time) : null;
            return new KitSound(output, input, null);
        }
        catch (DeviceFaultException fault)
        {
            output?.DisposeAsync().AsTask().GetAwaiter().GetResult();
            return new KitSound(new FailedOutput(name, fault.Fault), null, null);
        }
    }
}
