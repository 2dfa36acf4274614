namespace TeleHearing.Site.Agent.Audio;

/// <summary>The sound output of a kit: open from start to end of the program, so that nothing starts or clicks with a tone.</summary>
internal interface IAudioOutput : IAsyncDisposable
{
    /// <summary>Name of the device, for the kit check.</summary>
    string DeviceName { get; }

    /// <summary>Rate the device really opened with, in Hz.</summary>
    int SampleRateHz { get; }

    /// <summary>From a sample handed over to its sound, in frames, as the device reports it.</summary>
    int LatencyFrames => 0;

    /// <summary>What forbids sound just now; absent when nothing does. A passing fault is told once. Asked before every block, so it only looks at what is known.</summary>
    DeviceFault? CheckFault() => null;

    /// <summary>Plays one block of interleaved left and right samples, full scale 1.0, and returns when there is room for the next.</summary>
    /// <exception cref="DeviceFaultException">The device failed for good.</exception>
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

    /// <summary>What is wrong with it just now, as <see cref="IAudioOutput.CheckFault"/> says it.</summary>
    DeviceFault? CheckFault() => null;

    /// <summary>Fills one block with what the microphone heard next; false when there is not yet a whole one, for its clock is not the output's. Never waits.</summary>
    /// <exception cref="DeviceFaultException">The device failed for good.</exception>
    bool TryRead(Span<float> mono);
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
