using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>What the command line of <c>run</c> says.</summary>
/// <param name="Hub">Address of the hub.</param>
/// <param name="DataFolder">Folder of kit description, credential, journal and logs.</param>
/// <param name="ScreenPort">Port of the kit screen on loopback; absent for none.</param>
/// <param name="EnrolmentCode">One-time enrolment code, if one was given.</param>
/// <param name="Listener">Listener file, or "demo"; absent when there is no simulation.</param>
/// <param name="Seed">Seed of the simulated person and room.</param>
/// <param name="Room">"quiet" or a sound file.</param>
/// <param name="Pace">How sound blocks follow each other.</param>
/// <param name="Scripted">Whether the assistant is played by a script.</param>
/// <param name="RecordPath">Where everything played is written; absent for nowhere.</param>
internal sealed record RunOptions(
    Uri Hub,
    string DataFolder,
    int? ScreenPort,
    string? EnrolmentCode,
    string? Listener,
    int Seed,
    string Room,
    Pace Pace,
    bool Scripted,
    string? RecordPath)
{
    /// <summary>Spread of the simulated person's answers around the threshold, dB; absent for the listener's own default.</summary>
    public double? ListenerSpreadDb { get; init; }

    /// <summary>Presses of the simulated person without cause, a minute of listening.</summary>
    public double ListenerFalseAlarmsPerMinute { get; init; }

    /// <summary>Whether the program ends when its standard input closes.</summary>
    public bool EndWithInput { get; init; }
}
