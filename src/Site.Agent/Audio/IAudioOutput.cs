namespace TeleHearing.Site.Agent.Audio;

/// <summary>The sound output of a kit: open from start to end of the program, so that nothing starts or clicks with a tone.</summary>
internal interface IAudioOutput : IAsyncDisposable
{
    /// <summary>Name of the device, for the kit check.</summary>
    string DeviceName { get; }

    /// <summary>Rate the device really opened with, in Hz.</summary>
    int SampleRateHz { get; }

    /// <summary>Plays one block of interleaved left and right samples, full scale 1.0, and returns when there is room for the next.</summary>
    /// <exception cref="IOException">The device failed.</exception>
    ValueTask WriteAsync(ReadOnlyMemory<float> stereo, CancellationToken cancellationToken);
}

/// <summary>The measurement microphone of a kit.</summary>
internal interface IAudioInput : IAsyncDisposable
{
    /// <summary>Name of the device, for the kit check.</summary>
    string DeviceName { get; }

    /// <summary>Rate the device really opened with, in Hz.</summary>
    int SampleRateHz { get; }

    /// <summary>Sound pressure level of a signal whose RMS is 1.0, in dB re 20 µPa.</summary>
    double SplAtRmsOneDb { get; }

    /// <summary>Fills one block with what the microphone heard while the block before was played.</summary>
    /// <exception cref="IOException">The device failed.</exception>
    ValueTask ReadAsync(Memory<float> mono, CancellationToken cancellationToken);
}

/// <summary>Presses whose exact frame a device knows itself.</summary>
internal interface IPressSource
{
    /// <summary>Moves presses that became known since the last call into <paramref name="presses"/>.</summary>
    void Collect(List<ButtonPress> presses);
}

/// <summary>One press of the response button on the kit clock.</summary>
/// <param name="DownFrame">Frame at which it went down.</param>
/// <param name="UpFrame">Frame at which it came up.</param>
internal readonly record struct ButtonPress(long DownFrame, long UpFrame);
