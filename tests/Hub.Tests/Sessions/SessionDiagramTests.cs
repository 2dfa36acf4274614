using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Tests.Sessions;

public sealed class SessionDiagramTests
{
    [Fact]
    public void TheDiagramInTheDocumentsIsTheMachines()
    {
        var path = Path.Combine(Root(), "docs", "states", "session.md");
        if (Environment.GetEnvironmentVariable("TELEHEARING_WRITE_DIAGRAMS") == "1")
        {
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            File.WriteAllText(path, SessionDiagram.Page());
        }

        Assert.Equal(SessionDiagram.Page(), File.ReadAllText(path));
    }

    private static string Root()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(folder.FullName, "TeleHearing.sln")))
        {
            folder = folder.Parent ?? throw new DirectoryNotFoundException("No TeleHearing.sln above the test.");
        }

        return folder.FullName;
    }
}
