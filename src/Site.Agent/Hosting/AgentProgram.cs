namespace TeleHearing.Site.Agent.Hosting;

/// <summary>How this program is started, as the README writes it.</summary>
internal static class AgentProgram
{
    /// <summary>The line that starts it with these words.</summary>
    public static string Run(string words) => $"dotnet run --project src/Site.Agent -- {words}";
}
