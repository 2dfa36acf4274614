using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions;

/// <summary>The page docs/states/session.md, made from the machine so that it cannot say something else.</summary>
internal static class SessionDiagram
{
    /// <summary>Text of the page.</summary>
    public static string Page()
    {
        // Which transitions exist does not depend on the state; which are open does, and the guards say when.
        var nothing = new SessionFacts(DateTimeOffset.UnixEpoch, KitOnline: false, KitBusyElsewhere: false, TimeSpan.FromMinutes(10));
        var lines = SessionMachine.Diagram(SessionState.Empty(default), nothing).Replace("\r\n", "\n", StringComparison.Ordinal).Trim().Split('\n');
        return $"""
            # States of a session

            Made from `src/Hub/Sessions/SessionMachine.cs`; a test fails when this page is stale. To write it anew:
            `TELEHEARING_WRITE_DIAGRAMS=1 dotnet test tests/Hub.Tests --filter SessionDiagramTests`.

            The words in brackets are guards: what is not met, the clinician reads as "Still needed: ...".

            ```mermaid
            {string.Join("\n", lines.Where(line => !Stays(line)))}
            ```

            ## What is done without leaving a stage

            {string.Join("\n", lines.Where(Stays).Select(line => "- " + line.Trim()[(line.Trim().IndexOf("--> ", StringComparison.Ordinal) + 4)..]))}

            """;
    }

    /// <summary>A transition from a stage to itself; drawn, these would hide the others.</summary>
    private static bool Stays(string line)
    {
        var parts = line.Trim().Split(" --> ");
        return parts.Length == 2 && parts[1].Split(' ')[0] == parts[0];
    }
}
