namespace TeleHearing.Site.Agent.Audio;

/// <summary>An output that could not be opened: the kit stays linked and silent, and says why wherever its sound is asked for.</summary>
internal sealed class FailedOutput(string name, DeviceFault fault) : IAudioOutput
{
    /// <inheritdoc />
    public string DeviceName => name;

    /// <inheritdoc />
    public int SampleRateHz => 0;

    /// <inheritdoc />
    public DeviceFault? CheckFault() => fault;

    /// <inheritdoc />
    public ValueTask WriteAsync(ReadOnlyMemory<float> stereo, CancellationToken cancellationToken) => throw new DeviceFaultException(fault);

    /// <inheritdoc />
    public ValueTask DisposeAsync() => ValueTask.CompletedTask;
}
