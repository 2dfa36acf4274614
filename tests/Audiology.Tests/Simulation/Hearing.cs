using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Simulation;

/// <summary>Simple hearing for tests.</summary>
internal static class Hearing
{
    /// <summary>The same threshold at every frequency of both ears.</summary>
    public static IReadOnlyList<ListenerThreshold> Both(double airDbHl) =>
        [.. new[] { Ear.Left, Ear.Right }.SelectMany(ear => AudiometricFrequency.All.Select(frequency => new ListenerThreshold(ear, frequency.Hertz, airDbHl, null)))];
}
