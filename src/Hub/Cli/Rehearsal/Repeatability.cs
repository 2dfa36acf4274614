using System.Globalization;

namespace TeleHearing.Hub.Cli.Rehearsal;

/// <summary>Whether a rehearsal comes out the same with the same seed.</summary>
internal static class Repeatability
{
    /// <summary>What to say about a run; nothing when it can be repeated.</summary>
    /// <param name="brokenOffByLink">Steps broken off because the link was lost or its lease lapsed: real time, which no seed governs.</param>
    public static string? Warning(int brokenOffByLink) => brokenOffByLink == 0 ? null : string.Create(
        CultureInfo.InvariantCulture,
        $"{brokenOffByLink} step{(brokenOffByLink == 1 ? " was" : "s were")} broken off by the link between kit and hub, as happens on a busy machine: the same seed may give other results than these. Run it again when the machine is idle.");
}
