using System.Reflection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Agent;

namespace TeleHearing.Hub.Cli.Doctor;

/// <summary>Whether hub and site agent speak the same protocol.</summary>
internal static class VersionCheck
{
    private static readonly TimeSpan _patience = TimeSpan.FromSeconds(30);

    public static async Task<IReadOnlyList<Finding>> Examine(TimeProvider clock, CancellationToken cancellationToken)
    {
        var own = typeof(VersionCheck).Assembly.GetName().Version;
        List<Finding> findings = [new(Sign.Ok, "hub", $"version {own?.ToString(3)}, protocol {Protocol.Version} (accepts {Protocol.OldestAccepted} to {Protocol.Version}).")];
        if (!SiteAgentProgram.TryFind(out var path))
        {
            findings.Add(new Finding(Sign.Fault, "site agent", "its program was not found.", "demo and rehearse need it: build the hub, or publish the agent into a folder named \"agent\" next to it."));
            return findings;
        }

        findings.Add(await Ask(path, clock, cancellationToken));
        return findings;
    }

    private static async Task<Finding> Ask(string path, TimeProvider clock, CancellationToken cancellationToken)
    {
        var version = AssemblyName.GetAssemblyName(path).Version?.ToString(3);
        try
        {
            await using var agent = SiteAgentProcess.Start(["version"], clock);
            var spoken = await agent.WaitForLine("protocol", _patience, cancellationToken);
            return int.TryParse(spoken, out var protocol) && Protocol.Accepts(protocol)
                ? new Finding(Sign.Ok, "site agent", $"version {version}, protocol {protocol}.")
                : new Finding(Sign.Fault, "site agent", $"version {version} speaks protocol {spoken}.", "Update it to the hub's version; the hub would refuse it.");
        }
        catch (CliFault fault)
        {
            return new Finding(Sign.Fault, "site agent", $"version {version} does not answer: {fault.Message}", "Build or install it again.");
        }
    }
}
