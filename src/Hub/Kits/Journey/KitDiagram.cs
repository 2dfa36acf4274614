using Stateless.Graph;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>The page docs/states/kit.md, made from the machine so that it cannot say something else.</summary>
internal static class KitDiagram
{
    /// <summary>Text of the page.</summary>
    public static string Page()
    {
        var lines = MermaidGraph.Format(KitMachine.Whole()).Replace("\r\n", "\n", StringComparison.Ordinal).Trim().Split('\n');
        return $"""
            # Stages of a kit

            Made from `src/Hub/Kits/Journey/KitMachine.cs`; a test fails when this page is stale. To write it anew:
            `TELEHEARING_WRITE_DIAGRAMS=1 dotnet test tests/Hub.Tests --filter KitDiagramTests`.

            The words in brackets are guards. Losing a kit (`ReportLost`, `ReportStolen`) is possible everywhere but in `Draft` and where it is gone already; those lines are left out of the picture, as is what leaves a kit where it stands.

            ```mermaid
            {string.Join("\n", lines.Where(line => !Stays(line) && !IsLoss(line)))}
            ```

            ## What is done without leaving a stage

            {string.Join("\n", lines.Where(Stays).Select(line => "- " + line.Trim()[(line.Trim().IndexOf("--> ", StringComparison.Ordinal) + 4)..]))}

            """;
    }

    private static bool IsLoss(string line) => line.Contains(nameof(KitTrigger.ReportLost), StringComparison.Ordinal) || line.Contains(nameof(KitTrigger.ReportStolen), StringComparison.Ordinal);

    /// <summary>A transition from a stage to itself; drawn, these would hide the others.</summary>
    private static bool Stays(string line)
    {
        var parts = line.Trim().Split(" --> ");
        return parts.Length == 2 && parts[1].Split(' ')[0] == parts[0];
    }
}
