namespace TeleHearing.Site.Agent.Audio.Alsa;

/// <summary>How a device was set.</summary>
/// <param name="Channels">Its channels.</param>
/// <param name="Layout">How it takes or gives samples.</param>
/// <param name="BufferFrames">Length of its buffer.</param>
internal sealed unsafe record AlsaSettings(int Channels, SampleLayout Layout, int BufferFrames)
{
    /// <summary>Sets a device: 48 kHz or not at all, the finest form it has, period of one block, buffer of the latency.</summary>
    /// <exception cref="DeviceFaultException">It is not fit.</exception>
    public static AlsaSettings Apply(nint pcm, string name, SoundDirection direction, double latencyMs)
    {
        nint hardware;
        Require(AlsaApi.HardwareNew(&hardware), name);
        try
        {
            Require(AlsaApi.HardwareAny(pcm, hardware), name);
            Require(AlsaApi.SetResample(pcm, hardware, 0), name);
            Require(AlsaApi.SetAccess(pcm, hardware, AlsaApi.InterleavedAccess), name);
            var (channels, layout) = Fit(pcm, hardware, name, direction);
            ulong period = AudioFormat.BlockFrames;
            var buffer = (ulong)AudioFormat.FramesOf(latencyMs);
            var way = 0;
            Require(AlsaApi.SetPeriodNear(pcm, hardware, &period, &way), name);
            Require(AlsaApi.SetBufferNear(pcm, hardware, &buffer), name);
            Require(AlsaApi.SetHardware(pcm, hardware), name);
            if (buffer < 2 * AudioFormat.BlockFrames)
            {
                throw AlsaFaults.Unfit($"The sound device \"{name}\" has a buffer of {buffer} frames only.", "Set a longer outputLatencyMs in kit.json, or use another device, then start again.");
            }

            Software(pcm, name, direction, buffer);
            return new AlsaSettings(channels, layout, (int)Math.Min(buffer, int.MaxValue));
        }
        finally
        {
            AlsaApi.HardwareFree(hardware);
        }
    }

    /// <summary>Rate, channels and sample form, each the wanted one or a refusal.</summary>
    private static (int Channels, SampleLayout Layout) Fit(nint pcm, nint hardware, string name, SoundDirection direction)
    {
        if (AlsaApi.TestRate(pcm, hardware, AudioFormat.SampleRateHz, 0) != 0)
        {
            throw AlsaFaults.Unfit($"The sound device \"{name}\" does not run at {AudioFormat.SampleRateHz} Hz.", "Use one that does, then start again.");
        }

        Require(AlsaApi.SetRate(pcm, hardware, AudioFormat.SampleRateHz, 0), name);
        var channels = direction == SoundDirection.Input && AlsaApi.TestChannels(pcm, hardware, 1) == 0 ? 1 : AudioFormat.Channels;
        if (AlsaApi.SetChannels(pcm, hardware, (uint)channels) != 0)
        {
            throw AlsaFaults.Unfit($"The sound device \"{name}\" has no left and right channel alone.", "Use a stereo device, then start again.");
        }

        foreach (var (format, layout) in AlsaApi.Formats)
        {
            if (AlsaApi.TestFormat(pcm, hardware, format) == 0)
            {
                Require(AlsaApi.SetFormat(pcm, hardware, format), name);
                return (channels, layout);
            }
        }

        throw AlsaFaults.Unfit($"The sound device \"{name}\" works with neither 24 nor 32 bits, too coarse for quiet sounds.", "Use another device, then start again.");
    }

    /// <summary>An output starts by itself once its buffer is full, an input at once.</summary>
    private static void Software(nint pcm, string name, SoundDirection direction, ulong buffer)
    {
        nint software;
        Require(AlsaApi.SoftwareNew(&software), name);
        try
        {
            var threshold = direction == SoundDirection.Output ? buffer / AudioFormat.BlockFrames * AudioFormat.BlockFrames : 1;
            Require(AlsaApi.SoftwareCurrent(pcm, software), name);
            Require(AlsaApi.SetStartThreshold(pcm, software, threshold), name);
            Require(AlsaApi.SetAvailableMinimum(pcm, software, AudioFormat.BlockFrames), name);
            Require(AlsaApi.SetSoftware(pcm, software), name);
        }
        finally
        {
            AlsaApi.SoftwareFree(software);
        }

        if (direction == SoundDirection.Input)
        {
            Require(AlsaApi.Start(pcm), name);
        }
    }

    private static void Require(int result, string name)
    {
        if (result < 0)
        {
            throw AlsaFaults.Unfit($"The sound device \"{name}\" refused its settings ({AlsaFaults.Text(result)}).", "Use another device, then start again.");
        }
    }
}
