namespace TeleHearing.Hub.Cli.Doctor;

/// <summary>Whether the usual ports are free.</summary>
internal static class PortCheck
{
    private static readonly (int Port, string Use)[] _ports = [(5080, "console"), (5090, "kit screen")];

    public static IEnumerable<Finding> Examine() => _ports.Select(usual => LoopbackPorts.IsFree(usual.Port)
        ? new Finding(Sign.Ok, $"port {usual.Port}", $"free for the {usual.Use}.")
        : new Finding(Sign.Attention, $"port {usual.Port}", $"in use, perhaps by a running {usual.Use}.", "demo takes the next free one and says so; serve needs --urls."));
}
