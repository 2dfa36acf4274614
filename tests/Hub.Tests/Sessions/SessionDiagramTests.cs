using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

public sealed class SessionDiagramTests
{
    [Fact]
    public void TheDiagramInTheDocumentsIsTheMachines()
    {
        var path = Path.Combine(RepositoryRoot.Path, "docs", "states", "session.md");
        if (Environment.GetEnvironmentVariable("TELEHEARING_WRITE_DIAGRAMS") == "1")
        {
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            File.WriteAllText(path, SessionDiagram.Page());
        }

        Assert.Equal(SessionDiagram.Page(), File.ReadAllText(path));
    }
}
