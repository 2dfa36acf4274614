using System.Reflection;

namespace TeleHearing.Hub.Cli.Agent;

/// <summary>Where the site agent's program is: built beside the hub, or in <c>agent</c> next to a published hub (docs/decisions/0004).</summary>
internal static class SiteAgentProgram
{
    private const string FileName = "TeleHearing.Site.Agent.dll";

    /// <summary>Full path of the agent's assembly, if it is there.</summary>
    public static bool TryFind(out string path)
    {
        foreach (var candidate in Candidates())
        {
            if (File.Exists(candidate))
            {
                path = candidate;
                return true;
            }
        }

        path = string.Empty;
        return false;
    }

    /// <summary>Full path of the agent's assembly.</summary>
    /// <exception cref="CliFault">It is in neither place.</exception>
    public static string Find() => TryFind(out var path)
        ? path
        : throw new CliFault($"The site agent's program ({FileName}) was not found. Looked in: {string.Join("; ", Candidates())}. Build the hub, or publish the agent into a folder named \"agent\" next to it.");

    private static IEnumerable<string> Candidates()
    {
        var built = typeof(SiteAgentProgram).Assembly.GetCustomAttributes<AssemblyMetadataAttribute>().FirstOrDefault(attribute => attribute.Key == "SiteAgent")?.Value;
        if (built is not null)
        {
            yield return Path.GetFullPath(Path.Combine(AppContext.BaseDirectory, built.Replace('\\', '/')));
        }

        yield return Path.Combine(AppContext.BaseDirectory, "agent", FileName);
    }
}
