namespace TeleHearing.Site.Agent.Audio;

/// <summary>How a device itself keeps a sample.</summary>
internal enum SampleForm
{
    Float32,
    Integer32,

    /// <summary>24 bits, in three or in four bytes.</summary>
    Integer24,
    Integer16,

    /// <summary>Coarser than 16 bits, or not known.</summary>
    Other,
}

/// <summary>Which way sound goes.</summary>
internal enum SoundDirection
{
    Output,
    Input,
}

/// <summary>A sound device as the system describes it just now.</summary>
/// <param name="Name">Name by which a kit asks for it, with the kind of driver in front, as in <c>pulse:NAME</c> or <c>hw:CARD=NAME</c>.</param>
/// <param name="Description">Name for people.</param>
/// <param name="Direction">Which way sound goes.</param>
/// <param name="RateHz">Its own rate in Hz; 0 when it is only known once opened.</param>
/// <param name="Form">Its own sample form.</param>
/// <param name="Channels">Number of its channels.</param>
/// <param name="LeftThenRight">Whether an output's first channel is the left and its second the right one.</param>
/// <param name="VolumesPercent">Volume of each channel as people see it, 100 for unchanged samples; empty when it has no mixer.</param>
/// <param name="Muted">Whether it is muted.</param>
/// <param name="Port">The socket in use, where the device has several; absent otherwise.</param>
internal sealed record DeviceState(
    string Name,
    string Description,
    SoundDirection Direction,
    int RateHz,
    SampleForm Form,
    int Channels,
    bool LeftThenRight,
    IReadOnlyList<double> VolumesPercent,
    bool Muted,
    string? Port);
